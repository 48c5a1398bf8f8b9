"""Albums as PDF: pages for a printer, pages for a screen, and a sheet that shows the whole book."""

from setsolver.output.album.overview import overview_sheets
from setsolver.output.album.pdf import About, Drawn, album_pdf
from setsolver.output.album.sheets import Picture, Sheet, Words, album_sheets, captions_left_out

__all__ = [
    "About",
    "Drawn",
    "Picture",
    "Sheet",
    "Words",
    "album_pdf",
    "album_sheets",
    "captions_left_out",
    "overview_sheets",
]
