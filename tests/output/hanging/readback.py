"""Reads drawn lengths out of a PDF, in millimetres, by an independent reader."""

from io import BytesIO

from pypdf import PdfReader
from pypdf.generic import ContentStream

MM = 25.4 / 72  # ISO 32000-1:2008, 8.3.2.3: a unit of user space is 1/72 inch


def pages(pdf):
    return PdfReader(BytesIO(pdf)).pages


def size(page):
    return tuple(float(value) * MM for value in page.mediabox[2:])


def rectangles(page):
    """(x, y, width, height) of every rectangle, in order of drawing."""
    return [tuple(float(v) * MM for v in operands) for operands, operator in _operations(page) if operator == b"re"]


def filled(page):
    """Those rectangles that are filled, not only drawn round (ISO 32000-1:2008, 8.5.3.1: f, B)."""
    found, last = [], None
    for operands, operator in _operations(page):
        if operator == b"re":
            last = tuple(float(v) * MM for v in operands)
        elif operator in {b"f", b"f*", b"B", b"B*"} and last is not None:
            found.append(last)
    return found


def lines(page):
    """((x1, y1), (x2, y2)) of every straight line, in order of drawing."""
    found, start = [], None
    for operands, operator in _operations(page):
        if operator == b"m":
            start = tuple(float(v) * MM for v in operands)
        elif operator == b"l" and start is not None:
            found.append((start, tuple(float(v) * MM for v in operands)))
            start = None
    return found


def _operations(page):
    stream = ContentStream(page.get_contents(), None)
    shifts = [operands for operands, operator in stream.operations if operator == b"cm"]
    assert all([float(v) for v in shift] == [1, 0, 0, 1, 0, 0] for shift in shifts)
    return stream.operations
