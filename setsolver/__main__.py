"""``python -m setsolver``."""

from setsolver.cli.main import main

main()
