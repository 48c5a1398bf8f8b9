"""What leaves the tool: pages, pictures, documents."""

from setsolver.output.html import proof_html
from setsolver.output.pictures import Loader
from setsolver.output.sheet import proof_png
from setsolver.output.toned import finish

__all__ = ["Loader", "finish", "proof_html", "proof_png"]
