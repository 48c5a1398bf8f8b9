"""EXIF that tells the truth about a developed frame (CIPA DC-008, Exif 2.32)."""

from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from demo_catalog.make.develop import Exposure
from demo_catalog.make.shot import Shot
from demo_catalog.make.takes import Take

DAY = "2025:09:13"
OFFSET = "+02:00"


def exif_for(take: Take, shot: Shot, exposure: Exposure, zoom: float, distance: float) -> Image.Exif:
    """Tags of one frame; `zoom` is how far the crop narrows the field of the lens."""
    whole, part = take.clock.split(".")
    stamp = f"{DAY} {whole}"
    tags = Image.Exif()
    tags[0x010F], tags[0x0110] = "Rendered", "Rendered camera"
    tags[0x0112], tags[0x0131], tags[0x0132] = 1, "demo_catalog.make", stamp
    details = tags.get_ifd(0x8769)
    details |= {0x829A: IFDRational(*exposure.seconds), 0x829D: IFDRational(round(shot.f_number * 10), 10)}
    details |= {0x8827: exposure.iso, 0x9003: stamp, 0x9004: stamp, 0x9010: OFFSET, 0x9011: OFFSET}
    details |= {0x9290: part, 0x9291: part, 0x9206: IFDRational(round(distance * 100), 100), 0xA001: 1}
    details |= {0x920A: IFDRational(round(shot.focal * 10), 10), 0xA405: round(shot.focal * zoom)}
    tags[0x8769] = details
    return tags
