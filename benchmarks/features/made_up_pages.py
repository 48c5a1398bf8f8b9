"""Made-up pages and slides, as a camera or a scanner would see them, for fitting what tells documents and screens."""

from __future__ import annotations

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

__all__ = ["page", "photographed", "slide"]

WORDS = [
    "kiln",
    "glaze",
    "clay",
    "wheel",
    "bowl",
    "firing",
    "shelf",
    "order",
    "invoice",
    "date",
    "total",
    "ash",
    "salt",
    "slip",
    "wax",
    "foot",
    "rim",
    "handle",
    "studio",
    "lake",
    "market",
    "stall",
    "price",
    "two",
    "three",
    "twelve",
    "cones",
    "stoneware",
    "delivered",
    "paid",
    "thank",
    "you",
    "note",
    "letter",
    "agreement",
    "workshop",
    "hours",
    "materials",
]


def font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


def sentence(random: np.random.Generator, words: int) -> str:
    return " ".join(random.choice(WORDS, words)).capitalize()


def page(random: np.random.Generator) -> np.ndarray:
    """A letter, an invoice, a form or a page of a book on white, grey or cream paper; uint8[h, w, 3]."""
    width, height = (1000, int(random.choice([1414, 1294, 700, 1600])))
    paper = tuple(int(v) for v in random.choice([(255, 255, 255), (246, 242, 230), (238, 238, 236), (252, 250, 244)]))
    ink = tuple(int(v) for v in random.choice([(20, 20, 20), (30, 40, 90), (70, 70, 70)]))
    sheet = Image.new("RGB", (width, height), paper)
    draw, y, size = ImageDraw.Draw(sheet), 90, int(random.integers(18, 34))
    kind = random.choice(["letter", "invoice", "form", "columns"])
    draw.text((90, y), sentence(random, 3), font=font(size * 2), fill=ink)
    y += size * 4
    while y < height - 120:
        if kind == "invoice":
            draw.line((80, y, width - 80, y), fill=(150, 150, 150))
            draw.text((90, y + 6), sentence(random, 3), font=font(size), fill=ink)
            draw.text((width - 220, y + 6), f"{random.uniform(2, 900):.2f}", font=font(size), fill=ink)
        elif kind == "form":
            draw.text((90, y), sentence(random, 2) + ":", font=font(size), fill=ink)
            draw.rectangle((420, y - 4, width - 90, y + size + 6), outline=(120, 120, 120), width=2)
        elif kind == "columns":
            for x in (70, width // 2 + 20):
                draw.text((x, y), sentence(random, int(420 / size / 3)), font=font(size), fill=ink)
        else:
            draw.text((90, y), sentence(random, int(random.integers(6, 1700 // size // 6))), font=font(size), fill=ink)
        y += int(size * random.choice([1.5, 1.5, 2.0, 3.2]))
    return np.asarray(sheet)


def slide(random: np.random.Generator) -> np.ndarray:
    """A slide, a chart or a window with words; uint8[720, 1280, 3]."""
    dark = random.random() < 0.4
    back = random.integers(0, 60, 3) if dark else random.integers(200, 256, 3)
    ink = tuple(int(v) for v in (255 - back))
    sheet = Image.new("RGB", (1280, 720), tuple(int(v) for v in back))
    draw = ImageDraw.Draw(sheet)
    accent = tuple(int(v) for v in random.integers(0, 256, 3))
    draw.rectangle((0, 0, 1280, int(random.integers(0, 90))), fill=accent)
    draw.text((70, 110), sentence(random, 3), font=font(60), fill=ink)
    if random.random() < 0.5:
        for k in range(int(random.integers(3, 7))):
            draw.text((90, 230 + 70 * k), "- " + sentence(random, 5), font=font(36), fill=ink)
    else:
        for k, high in enumerate(random.uniform(30, 380, int(random.integers(4, 12)))):
            draw.rectangle((120 + 90 * k, 640 - high, 180 + 90 * k, 640), fill=accent)
        draw.line((100, 640, 1240, 640), fill=ink, width=3)
    return np.asarray(sheet)


def photographed(sheet: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """A page on a desk, seen askew under uneven light with grain; uint8[960, 1280, 3]."""
    desk = cv2.resize(random.normal(0, 22, (24, 40)).astype(np.float32), (1280, 960), interpolation=cv2.INTER_CUBIC)
    desk = desk[..., None] + random.integers(40, 190, 3)
    height, width = sheet.shape[:2]
    scale = random.uniform(0.75, 1.05) * min(960 / height, 1280 / width)
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
    angle = np.radians(random.normal(0, 7))
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    placed = (corners - corners.mean(axis=0)) * scale @ turn.T + (640, 480) + random.normal(0, 35, (4, 2))
    matrix = cv2.getPerspectiveTransform(corners, placed.astype(np.float32))
    inside = cv2.warpPerspective(np.full((height, width), 1, np.float32), matrix, (1280, 960))[..., None]
    seen = cv2.warpPerspective(sheet, matrix, (1280, 960), flags=cv2.INTER_AREA)
    light = cv2.resize(random.uniform(0.6, 1.05, (3, 4)).astype(np.float32), (1280, 960), interpolation=cv2.INTER_CUBIC)
    both = (seen * inside + desk * (1 - inside)) * light[..., None] * random.uniform(0.9, 1.0, 3)
    return np.clip(both + random.normal(0, 4, both.shape), 0, 255).astype(np.uint8)
