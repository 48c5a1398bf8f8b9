"""Sheets to a PDF: boxes, pictures as they were finished, embedded letters, bookmarks, and what ISO 15930-7 asks for.

PDF/X-4 as far as the libraries reach: version 1.6, an output intent with its profile embedded, TrimBox and BleedBox on
every page, all fonts embedded, all colours tied to a profile, no encryption, no scripts, XMP with the version key and
document ids, Trapped said. Not checked here by a preflight program; and the standard wants the profile of a printing
condition (class "prtr"), which sRGB is not, so a book made without ``--profile`` is marked as plain PDF with an intent.
(The standard's demands from memory, not from its text.)
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final
from xml.sax.saxutils import escape

import pikepdf
from pikepdf import Array, Dictionary, Name, OutlineItem, String

from setsolver.domain.plan import Placed
from setsolver.output.album.sheets import CM, Picture, Rule, Sheet, Words
from setsolver.output.album.typeface import Typeface, Weight, drawable, width_of

__all__ = ["About", "Drawn", "album_pdf"]

_PRINTING: Final = b"prtr"
_COMPONENTS: Final = {b"GRAY": 1, b"RGB ": 3, b"CMYK": 4}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture as a JPEG in the profile that ``About`` names for pictures, with its pixels."""

    jpeg: bytes
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class About:
    """What the file says of itself.

    srgb : profile of words and rules. pictures : that of the pictures, None = the same. intent : profile of the
    printing condition, None = sRGB. condition : its name. made : moment, with offset.
    """

    title: str
    tool: str
    made: datetime
    srgb: bytes
    author: str = ""
    pictures: bytes | None = None
    intent: bytes | None = None
    condition: str = "sRGB"

    @property
    def for_a_press(self) -> bool:
        """True where the output intent is a printing condition, as PDF/X asks."""
        return self.intent is not None and self.intent[12:16] == _PRINTING


def album_pdf(
    path: Path, sheets: Sequence[Sheet], draw: Callable[[Picture], Drawn], about: About, *, marks: bool = True
) -> None:
    """Write sheets to a PDF.

    Parameters
    ----------
    path : of a file that may be overwritten. draw : the picture of a place, asked once for each. marks : with boxes for
        a printer; without, the page ends at the trim.

    Raises
    ------
    OSError
        Where the file cannot be written.
    """
    with pikepdf.new() as pdf:
        writer = _Writer(pdf, sheets, about)
        for sheet in sheets:
            writer.page(sheet, draw, bleed=sheet.bleed_cm if marks else 0.0)
        writer.bookmarks(sheets)
        writer.say()
        pdf.save(
            path,
            min_version="1.6",
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            compress_streams=True,
            deterministic_id=True,
        )


class _Writer:
    def __init__(self, pdf: pikepdf.Pdf, sheets: Sequence[Sheet], about: About) -> None:
        self.pdf, self.about = pdf, about
        self.srgb = Array([Name.ICCBased, pdf.make_stream(about.srgb, N=3, Alternate=Name.DeviceRGB)])
        self.pictures = self.srgb
        if about.pictures is not None and about.pictures != about.srgb:
            self.pictures = Array([Name.ICCBased, pdf.make_stream(about.pictures, N=3, Alternate=Name.DeviceRGB)])
        weights = dict.fromkeys(words.weight for sheet in sheets for words in sheet.words)
        self.faces: dict[Weight, Typeface] = {weight: self._face(weight, sheets) for weight in weights}
        self.digest = hashlib.sha256(repr(sheets).encode())
        self.kept: dict[tuple[int, int], Any] = {}

    def _face(self, weight: Weight, sheets: Sequence[Sheet]) -> Typeface:
        letters = {
            one for sheet in sheets for w in sheet.words if w.weight == weight for one in drawable(w.text, weight)
        }
        return Typeface(self.pdf, weight, letters)

    def page(self, sheet: Sheet, draw: Callable[[Picture], Drawn], bleed: float) -> None:
        """Add a sheet: MediaBox and BleedBox about the bleed, TrimBox inside."""
        images: dict[str, Any] = {}
        content = [b"/Cs cs /Cs CS"]
        height = sheet.height_cm
        content += [_rule(rule, height, bleed) for rule in sheet.rules]
        for number, picture in enumerate(sheet.pictures):
            name = f"/Im{number}"
            images[name] = self._image(draw(picture), picture)
            content.append(_placed(picture, name, sheet, bleed))
        content += [self._line(words, height, bleed) for words in sheet.words if words.text]
        media = Array([0, 0, _points(sheet.width_cm + 2 * bleed), _points(height + 2 * bleed)])
        trim = Array([_points(bleed), _points(bleed), _points(bleed + sheet.width_cm), _points(bleed + height)])
        fonts = {f"/{weight}": face.object for weight, face in self.faces.items()}
        page = Dictionary(
            Type=Name.Page,
            MediaBox=media,
            BleedBox=media,
            TrimBox=trim,
            Resources=Dictionary(
                XObject=Dictionary(images), Font=Dictionary(fonts), ColorSpace=Dictionary(Cs=self.srgb)
            ),
            Contents=self.pdf.make_stream(b"\n".join(content)),
        )
        self.pdf.pages.append(pikepdf.Page(self.pdf.make_indirect(page)))

    def _image(self, drawn: Drawn, picture: Picture) -> Any:
        if picture.key not in self.kept:
            self.digest.update(drawn.jpeg)
            image = pikepdf.Stream(self.pdf, b"")
            image.write(drawn.jpeg, filter=Name.DCTDecode)
            image.Type, image.Subtype = Name.XObject, Name.Image
            image.Width, image.Height, image.BitsPerComponent = drawn.width, drawn.height, 8
            image.ColorSpace = self.pictures
            self.kept[picture.key] = self.pdf.make_indirect(image)
        return self.kept[picture.key]

    def _line(self, words: Words, height: float, bleed: float) -> bytes:
        x = (words.x + bleed) * CM
        wide = width_of(words.text, words.size, words.weight)
        x -= {"middle": wide / 2, "right": wide}.get(words.align, 0.0)
        y = (height - words.y + bleed) * CM
        text = self.faces[words.weight].encoded(words.text)
        ink = b"%.3f %.3f %.3f sc" % ((words.grey,) * 3)
        return b"BT %s /%s %.2f Tf %.3f %.3f Td %s Tj ET" % (ink, words.weight.encode(), words.size, x, y, text)

    def bookmarks(self, sheets: Sequence[Sheet]) -> None:
        """Let a reader open a chapter."""
        with self.pdf.open_outline() as outline:
            outline.root.extend(OutlineItem(s.bookmark, number) for number, s in enumerate(sheets) if s.bookmark)

    def say(self) -> None:
        """Write the output intent, and what the file says of itself twice: in the old way, and as XMP."""
        about, root = self.about, self.pdf.Root
        profile = about.intent or about.srgb
        stream = self.pdf.make_stream(profile, N=_COMPONENTS.get(profile[16:20], 3))
        intent = Dictionary(
            Type=Name.OutputIntent,
            S=Name.GTS_PDFX,
            OutputConditionIdentifier=String("Custom" if about.for_a_press else "sRGB"),
            OutputCondition=String(about.condition),
            Info=String(about.condition),
            RegistryName=String("http://www.color.org"),
            DestOutputProfile=self.pdf.make_indirect(stream),
        )
        root.OutputIntents = Array([self.pdf.make_indirect(intent)])
        root.PageLayout = Name.SinglePage
        when = _pdf_date(about.made)
        info = {
            Name.Title: about.title,
            Name.Creator: about.tool,
            Name.Producer: about.tool,
            Name.CreationDate: when,
            Name.ModDate: when,
        }
        if about.author:
            info[Name.Author] = about.author
        for key, value in info.items():
            self.pdf.docinfo[key] = String(value)
        self.pdf.docinfo[Name.Trapped] = Name("/False")
        packet = self.pdf.make_stream(self._xmp(), Type=Name.Metadata, Subtype=Name.XML)
        root.Metadata = self.pdf.make_indirect(packet)

    def _xmp(self) -> bytes:
        about = self.about
        when, title = about.made.isoformat(timespec="seconds"), escape(about.title)
        identity = self.digest.hexdigest()
        guid = "-".join((identity[:8], identity[8:12], identity[12:16], identity[16:20], identity[20:32]))
        version = "<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>" if about.for_a_press else ""
        author = (
            f"<dc:creator><rdf:Seq><rdf:li>{escape(about.author)}</rdf:li></rdf:Seq></dc:creator>"
            if about.author
            else ""
        )
        return (
            '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
            '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
            '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
            'xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/" '
            'xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/">'
            f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>{author}'
            f"<xmp:CreateDate>{when}</xmp:CreateDate><xmp:ModifyDate>{when}</xmp:ModifyDate>"
            f"<xmp:MetadataDate>{when}</xmp:MetadataDate><xmp:CreatorTool>{escape(about.tool)}</xmp:CreatorTool>"
            f"<pdf:Producer>{escape(about.tool)}</pdf:Producer><pdf:Trapped>False</pdf:Trapped>"
            f"<xmpMM:DocumentID>uuid:{guid}</xmpMM:DocumentID><xmpMM:VersionID>1</xmpMM:VersionID>"
            f"<xmpMM:RenditionClass>default</xmpMM:RenditionClass>{version}"
            '</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end="w"?>'
        ).encode()


def _placed(picture: Picture, name: str, sheet: Sheet, bleed: float) -> bytes:
    """Return the drawing of a picture, cut off where its sheet or its clip ends."""
    at = picture.at
    edge = picture.clip or Placed(
        x_cm=-bleed, y_cm=-bleed, width_cm=sheet.width_cm + 2 * bleed, height_cm=sheet.height_cm + 2 * bleed
    )
    height = sheet.height_cm
    left, low = (at.x_cm + bleed) * CM, (height - at.y_cm - at.height_cm + bleed) * CM
    box = b"%.3f %.3f %.3f %.3f re W n" % _box(edge, height, bleed)
    size = at.width_cm * CM, at.height_cm * CM
    return b"q %s %.4f 0 0 %.4f %.4f %.4f cm %s Do Q" % (box, *size, left, low, name.encode())


def _box(at: Placed, height: float, bleed: float) -> tuple[float, float, float, float]:
    left, low = (at.x_cm + bleed) * CM, (height - at.y_cm - at.height_cm + bleed) * CM
    return left, low, at.width_cm * CM, at.height_cm * CM


def _rule(rule: Rule, height: float, bleed: float) -> bytes:
    box, grey = _box(rule.at, height, bleed), (rule.grey,) * 3
    if rule.pen:
        return b"%.3f %.3f %.3f SC %.2f w %.3f %.3f %.3f %.3f re S" % (*grey, rule.pen, *box)
    return b"%.3f %.3f %.3f sc %.3f %.3f %.3f %.3f re f" % (*grey, *box)


def _points(cm: float) -> float:
    return round(cm * CM, 4)


def _pdf_date(moment: datetime) -> str:
    zone = moment.strftime("%z") or "+0000"
    return f"D:{moment.strftime('%Y%m%d%H%M%S')}{zone[:3]}'{zone[3:]}'"
