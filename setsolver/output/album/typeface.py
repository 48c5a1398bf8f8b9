"""The typeface of the proof sheet in a PDF: only the letters used, with their outlines (CFF) as they are.

A name-keyed CFF in a composite font is addressed by glyph numbers (ISO 32000-1, 9.7.4.2), so text is written in those;
a table to Unicode lets readers search and copy it.
"""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Any, Literal

import pikepdf
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from pikepdf import Array, Dictionary, Name

from setsolver.output.inert import inert

__all__ = ["Typeface", "Weight", "drawable", "width_of", "wrapped"]

Weight = Literal["Regular", "Semibold"]
_UNITS = 1000.0
_FALLBACK = "?"


@cache
def _whole(weight: Weight) -> Any:
    data = files("setsolver.output").joinpath("assets", "fonts", f"SourceSansPro-{weight}.otf").read_bytes()
    return TTFont(BytesIO(data), lazy=True)


@cache
def _map(weight: Weight) -> dict[int, str]:
    found: dict[int, str] = _whole(weight).getBestCmap()
    return found


def drawable(text: str, weight: Weight = "Regular") -> str:
    """Return text with what the typeface cannot draw as question marks, and control characters as escapes."""
    known = _map(weight)
    return "".join(one if ord(one) in known else _FALLBACK for one in inert(text))


def width_of(text: str, size: float, weight: Weight = "Regular") -> float:
    """Return the width of a line in points."""
    font, known = _whole(weight), _map(weight)
    advance, unit = font["hmtx"], font["head"].unitsPerEm
    return float(sum(advance[known[ord(one)]][0] for one in drawable(text, weight)) * size / unit)


def wrapped(text: str, size: float, width: float, weight: Weight = "Regular") -> list[str]:
    """Return text as lines at most ``width`` points wide; a longer word is broken."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, size, weight) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for one in word:
            if lines[-1] and width_of(lines[-1] + one, size, weight) > width:
                lines.append("")
            lines[-1] += one
    return [line for line in lines if line]


class Typeface:
    """One weight in one PDF, with the letters that it will be asked for."""

    def __init__(self, pdf: pikepdf.Pdf, weight: Weight, letters: set[str]) -> None:
        known = _map(weight)
        wanted = sorted({ord(one) for one in letters | {" ", _FALLBACK} if ord(one) in known})
        font = _subset(weight, wanted)
        cmap = font.getBestCmap()
        self.weight = weight
        self._glyph = {code: font.getGlyphID(name) for code, name in cmap.items()}
        self.object = pdf.make_indirect(self._composite(pdf, font))

    def encoded(self, text: str) -> bytes:
        """Return a line as the hexadecimal string of a PDF."""
        return b"<" + b"".join(b"%04X" % self._glyph[ord(one)] for one in drawable(text, self.weight)) + b">"

    def _composite(self, pdf: pikepdf.Pdf, font: Any) -> Dictionary:
        outlines = BytesIO(font["CFF "].compile(font))
        data = outlines.getvalue()
        letters = hashlib.sha256(data).hexdigest()
        tag = "".join(chr(ord("A") + int(one, 16)) for one in letters[:6])
        name = Name(f"/{tag}+SourceSansPro-{self.weight}")
        file = pdf.make_stream(data, Subtype=Name.CIDFontType0C)
        descendant = Dictionary(
            Type=Name.Font,
            Subtype=Name.CIDFontType0,
            BaseFont=name,
            CIDSystemInfo=Dictionary(
                Registry=pikepdf.String("Adobe"), Ordering=pikepdf.String("Identity"), Supplement=0
            ),
            FontDescriptor=pdf.make_indirect(_descriptor(font, self.weight, name, file)),
            DW=1000,
            W=Array(_widths(font, sorted(self._glyph.values()))),
        )
        return Dictionary(
            Type=Name.Font,
            Subtype=Name.Type0,
            BaseFont=name,
            Encoding=Name("/Identity-H"),
            DescendantFonts=Array([pdf.make_indirect(descendant)]),
            ToUnicode=pdf.make_stream(self._to_unicode()),
        )

    def _to_unicode(self) -> bytes:
        """Return the table from glyph to character (ISO 32000-1, 9.10.3)."""
        pairs = sorted((glyph, code) for code, glyph in self._glyph.items())
        lines = [f"<{glyph:04X}> <{chr(code).encode('utf-16-be').hex().upper()}>" for glyph, code in pairs]
        blocks = [lines[at : at + 100] for at in range(0, len(lines), 100)]
        body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
        return (
            "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
            "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
            "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
            f"{body}\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
        ).encode()


def _subset(weight: Weight, codes: list[int]) -> Any:
    data = files("setsolver.output").joinpath("assets", "fonts", f"SourceSansPro-{weight}.otf").read_bytes()
    font = TTFont(BytesIO(data))
    options = Options()
    options.layout_features = []
    options.desubroutinize = True
    options.hinting = False
    options.notdef_outline = True
    options.name_IDs = []
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=codes)
    subsetter.subset(font)
    return font


def _descriptor(font: Any, weight: Weight, name: Name, file: pikepdf.Object) -> Dictionary:
    head, hhea, whole = font["head"], font["hhea"], _whole(weight)  # of the letters alone the stem is not told
    scale = _UNITS / head.unitsPerEm
    box = [round(value * scale) for value in (head.xMin, head.yMin, head.xMax, head.yMax)]
    ascent, descent = round(hhea.ascent * scale), round(hhea.descent * scale)
    return Dictionary(
        Type=Name.FontDescriptor,
        FontName=name,
        Flags=4,
        FontBBox=Array(box),
        ItalicAngle=0,
        Ascent=ascent,
        Descent=descent,
        CapHeight=round(whole["OS/2"].sCapHeight * scale),
        StemV=round(whole["CFF "].cff.topDictIndex[0].Private.StdVW * scale),
        FontFile3=file,
    )


def _widths(font: Any, glyphs: list[int]) -> list[Any]:
    scale, order = _UNITS / font["head"].unitsPerEm, font.getGlyphOrder()
    found: list[Any] = []
    for glyph in glyphs:
        found += [glyph, Array([round(font["hmtx"][order[glyph]][0] * scale)])]
    return found
