"""The printing condition of an album: what its pictures are converted to, and what its PDF names as output intent."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PIL import ImageCms

from setsolver.colour.profile import space_of
from setsolver.errors import BadInput
from setsolver.render.save import Intent, OutProfile, load_profile, srgb_profile

if TYPE_CHECKING:
    from setsolver.domain.finish import FinishedPrint

__all__ = ["Condition", "condition_of", "said_of_gamut"]

_PRINTER: Final = b"prtr"
MANY: Final = 0.01
"""Share of a picture's pixels outside the profile's gamut from which it is said."""


@dataclass(frozen=True, slots=True)
class Condition:
    """pictures : the profile that they are made in. intent : bytes of the output intent's profile, None = sRGB.

    name : of the condition. notes : sentences.
    """

    pictures: OutProfile
    name: str
    intent: bytes | None = None
    notes: tuple[str, ...] = ()

    @property
    def of_pictures(self) -> bytes:
        """The pictures' profile."""
        return self.pictures.file.read_bytes() if self.pictures.file else srgb_profile()


def condition_of(file: Path | None, intent: Intent = "relative") -> Condition:
    """Return the condition that an ICC profile describes; sRGB without a file.

    Pictures are converted to a profile for RGB as prints are. To one for CMYK nothing here converts: it is named as the
    output intent, and the pictures stay in sRGB, tagged, for the press to convert (ISO 15930-7 allows it).

    Raises
    ------
    BadInput
        Where the file is no profile of a printer, display or colour space for RGB, nor of a printer for CMYK.
    """
    if file is None:
        return Condition(load_profile(None), "sRGB")
    try:
        data = file.read_bytes()
    except OSError as error:
        raise BadInput(f"{file}: the profile cannot be read: {error.strerror}") from error
    if space_of(data) == "CMYK" and data[12:16] == _PRINTER:
        try:
            name = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(str(file))).strip() or file.stem
        except (ImageCms.PyCMSError, OSError) as error:
            raise BadInput(f"{file} is no profile that can be read ({error})") from error
        note = f"pictures stay in sRGB, tagged: nothing here converts to CMYK; the press converts them to {name}"
        return Condition(load_profile(None), name, data, (note,))
    profile = load_profile(file, intent)
    return Condition(profile, profile.name, data)


def said_of_gamut(prints: list[FinishedPrint]) -> tuple[str, ...]:
    """Return what is to be said of colours that the pictures' profile cannot hold."""
    beyond = [(one.soft_proof.outside, one) for one in prints if one.soft_proof and one.soft_proof.outside >= MANY]
    if not beyond:
        return ()
    most, worst = max(beyond, key=lambda pair: pair[0])
    many = "1 picture has" if len(beyond) == 1 else f"{len(beyond)} pictures have"
    return (
        f"{many} colours that {worst.profile} cannot hold; most of all {worst.source}, in {most:.0%} of its pixels",
    )
