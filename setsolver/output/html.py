"""The proof sheet as one HTML page that needs nothing but itself."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from importlib.resources import files
from typing import Any
from xml.sax.saxutils import quoteattr

import jinja2
from markupsafe import Markup

from setsolver.domain.outcome import Outcome
from setsolver.output.jpeg import QUALITY, data_uri
from setsolver.output.pictures import Loader, Pictures
from setsolver.output.toned import Pixels
from setsolver.output.view import words
from setsolver.output.view.page import page
from setsolver.output.view.shown import Shown

__all__ = ["proof_html"]


def proof_html(outcome: Outcome, picture: Loader, *, quality: int = QUALITY) -> str:
    """Return the proof sheet.

    Parameters
    ----------
    outcome : what to show; without a set, the rules that clash and the ways out.
    picture : from a frame's path and a long side in pixels to its upright sRGB picture, uint8[H, W, 3]; a frame that
        cannot be read any more shows as grey, and the sheet says so. quality : of the JPEG pictures, 1 to 95.

    Returns
    -------
    HTML that loads nothing from anywhere: style, script and pictures are inside. It encodes to UTF-8 whatever the
    names of the files are.
    """
    pictures = Pictures(picture)

    def uri(shown: Shown) -> str:
        return data_uri(_pixels(pictures, shown), quality)

    script = _asset("proof.js")
    return (
        _environment()
        .get_template("proof.html.jinja")
        .render(
            page=page(outcome),
            uri=uri,
            drawing=_drawing,
            unreadable=pictures.unreadable,
            style=Markup(_faces() + _asset("proof.css")),  # noqa: S704 - our own files, no input in them
            script=Markup(script),  # noqa: S704 - our own file, no input in it
            script_hash=b64encode(sha256(script.encode()).digest()).decode(),
        )
    )


def _pixels(pictures: Pictures, shown: Shown) -> Pixels:
    if shown.frame is None or shown.how == "whole":
        return pictures.whole(shown.path, shown.long_side)
    if shown.how == "as_shot":
        return pictures.as_shot(shown.frame, shown.long_side)
    return pictures.finished(shown.frame, shown.long_side)


def _drawing(svg: bytes, label: str) -> Markup:
    """Return a drawing to stand in the page, so that its letters are the page's; there it needs no namespace."""
    named = f" aria-label={quoteattr(label)}"
    return Markup(svg.decode().replace(' xmlns="http://www.w3.org/2000/svg"', named, 1))  # noqa: S704 - drawn by us; all words in it are escaped


def _faces() -> str:
    """Return the typeface of the drawn sheet as rules that a page carries inside itself."""
    fonts = files("setsolver.output").joinpath("assets", "fonts")
    rules = []
    for name, weight in (("Regular", 400), ("Semibold", 600)):
        data = b64encode(fonts.joinpath(f"SourceSansPro-{name}.otf").read_bytes()).decode("ascii")
        source = f'src: url(data:font/otf;base64,{data}) format("opentype")'
        rules.append(f'@font-face {{ font-family: "Sheet"; font-weight: {weight}; {source}; }}')
    return "\n".join(rules) + "\n"


def _asset(name: str) -> str:
    return files("setsolver.output").joinpath("assets", name).read_text("utf-8")


def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("setsolver.output"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_plain,
    )
    for name in ("number", "number_cm", "signed", "points", "counted", "day", "inert", "name_of", "rule_name"):
        environment.filters[name] = getattr(words, name)
    return environment


def _plain(value: Any) -> Any:
    """Make every text that a template prints inert, so that no name is forgotten; markup of our own passes."""
    return words.inert(value) if isinstance(value, str) and not isinstance(value, Markup) else value
