"""Made-up book spreads, menus and signs, and pictures that no camera took, to fit what tells documents and screens."""

from __future__ import annotations

import cv2
import numpy as np
from made_up_pages import font, page, photographed, sentence
from PIL import Image, ImageDraw

__all__ = [
    "DOCUMENTS",
    "FROM_PHOTOGRAPHS",
    "SCREENS",
    "board",
    "flyer",
    "logo",
    "painted",
    "sign",
    "spread",
    "terminal",
    "thermal",
]

SCRIPTS = (cv2.FONT_HERSHEY_SCRIPT_SIMPLEX, cv2.FONT_HERSHEY_SCRIPT_COMPLEX, cv2.FONT_HERSHEY_SIMPLEX)


def colour(random: np.random.Generator, low: int, high: int) -> tuple[int, ...]:
    return tuple(int(v) for v in random.integers(low, high, 3))


def handwritten(random: np.random.Generator) -> np.ndarray:
    """A ruled or plain page with a few lines by hand; uint8[1300, 900, 3]."""
    sheet = np.full((1300, 900, 3), colour(random, 225, 256), np.uint8)
    ink, step = colour(random, 0, 110), int(random.integers(48, 80))
    if random.random() < 0.7:
        for y in range(140, 1260, step):
            cv2.line(sheet, (30, y + 8), (870, y + 8), (190, 205, 225), 2)
    letters, size = int(random.choice(SCRIPTS)), float(random.uniform(1.0, 1.6))
    for y in range(140, int(random.integers(500, 1260)), step):
        at = (int(random.integers(60, 110)), y)
        cv2.putText(sheet, sentence(random, int(random.integers(2, 6))), at, letters, size, ink, 2, cv2.LINE_AA)
    return sheet


def illustrated(random: np.random.Generator) -> np.ndarray:
    """A page of a designed book: a colour over part of it, shapes, a few words; uint8[1300, 900, 3]."""
    sheet = Image.new("RGB", (900, 1300), colour(random, 215, 256))
    draw = ImageDraw.Draw(sheet)
    if random.random() < 0.6:
        draw.rectangle((0, int(random.integers(0, 900)), 900, 1300), fill=colour(random, 0, 256))
    for _ in range(int(random.integers(0, 7))):
        x, y, size = (int(v) for v in random.integers(60, 700, 3))
        box = (x, y, x + size // 2 + 20, y + size // 2 + 20)
        (draw.ellipse if random.random() < 0.5 else draw.rectangle)(box, fill=colour(random, 0, 256))
    draw.text((80, 120), sentence(random, 2), font=font(int(random.integers(40, 110))), fill=colour(random, 0, 90))
    for y in range(int(random.integers(500, 900)), 1200, 40):
        draw.text((80, y), sentence(random, 7), font=font(24), fill=(40, 40, 40))
    return np.asarray(sheet)


def spread(random: np.random.Generator) -> np.ndarray:
    """An open book or notebook on a desk; uint8[960, 1280, 3]."""
    kind = random.choice([handwritten, illustrated, lambda given: cv2.resize(page(given), (900, 1300))])
    both = np.hstack([kind(random), kind(random)]).astype(np.float32)
    away = np.abs(np.arange(1800) - 900) / 900
    both *= (1 - 0.45 * np.exp(-away / 0.05))[None, :, None]
    return photographed(np.clip(both, 0, 255).astype(np.uint8), random)


def menu(random: np.random.Generator) -> np.ndarray:
    """A list of dishes with prices, dark on light or light on dark; uint8[1300, 900, 3]."""
    back = colour(random, 0, 50) if random.random() < 0.4 else colour(random, 215, 256)
    ink = tuple(240 if back[0] < 128 else 40 for _ in range(3))
    sheet = Image.new("RGB", (900, 1300), back)
    draw, size = ImageDraw.Draw(sheet), int(random.integers(26, 44))
    draw.text((260, 70), sentence(random, 1), font=font(2 * size), fill=ink)
    for y in range(220, 1230, int(size * random.choice([1.6, 2.0, 2.6]))):
        draw.text((80, y), sentence(random, 3), font=font(size), fill=ink)
        draw.text((760, y), f"{random.integers(2, 40)},-", font=font(size), fill=ink)
    return np.asarray(sheet)


def board(random: np.random.Generator) -> np.ndarray:
    """A menu or a page on a board or a wall; uint8[960, 1280, 3]."""
    return photographed(menu(random) if random.random() < 0.7 else handwritten(random), random)


def sign(random: np.random.Generator) -> np.ndarray:
    """A sheet with a few large words on a door or a wall; uint8[960, 1280, 3]."""
    sheet = Image.new("RGB", (900, int(random.choice([1270, 640]))), colour(random, 190, 256))
    draw = ImageDraw.Draw(sheet)
    for k in range(int(random.integers(1, 4))):
        draw.text((120, 140 + 220 * k), sentence(random, 1), font=font(110), fill=colour(random, 0, 80))
    return photographed(np.asarray(sheet), random)


def painted(photograph: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """A photograph as if it were painted or drawn; uint8[h, w, 3]."""
    way = int(random.integers(3))
    if way == 0:
        smooth = cv2.stylization(photograph, sigma_s=60, sigma_r=0.45)
    elif way == 1:
        smooth = cv2.pyrMeanShiftFiltering(photograph, 14, 34)
    else:
        smooth = cv2.medianBlur(cv2.medianBlur(photograph, 11), 11)
        levels = int(random.integers(5, 10))
        smooth = (smooth // (256 // levels) * (256 // levels) + 128 // levels).astype(np.uint8)
    hsv = cv2.cvtColor(smooth, cv2.COLOR_RGB2HSV).astype(np.float32)
    hsv[..., 0] = (hsv[..., 0] + random.choice([0, 0, 20, 60])) % 180
    hsv[..., 1] *= random.uniform(1.1, 1.9)
    return cv2.cvtColor(np.clip(hsv, 0, 255).astype(np.uint8), cv2.COLOR_HSV2RGB)


def thermal(photograph: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """What a camera for heat might show: smooth, in false colours, with numbers in a corner; uint8[h, w, 3]."""
    grey = cv2.GaussianBlur(cv2.cvtColor(photograph, cv2.COLOR_RGB2GRAY), (0, 0), 4)
    scale = int(random.choice([cv2.COLORMAP_INFERNO, cv2.COLORMAP_JET, cv2.COLORMAP_HOT, cv2.COLORMAP_PLASMA]))
    grey = cv2.equalizeHist(255 - grey if random.random() < 0.5 else grey)
    shown = Image.fromarray(cv2.cvtColor(cv2.applyColorMap(grey, scale), cv2.COLOR_BGR2RGB))
    draw = ImageDraw.Draw(shown)
    draw.rectangle((20, 20, 150, 120), fill=(40, 40, 40))
    for k in range(3):
        draw.text((34, 26 + 30 * k), f"{random.uniform(10, 90):.1f}", font=font(24), fill=(255, 255, 255))
    return np.asarray(shown)


def flyer(photograph: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """A photograph under a plain shape with words, as an announcement has it; uint8[h, w, 3]."""
    made = Image.fromarray(photograph)
    draw, (width, height) = ImageDraw.Draw(made), made.size
    share = random.uniform(0.25, 0.6)
    corners = [(0, 0), (int(width * share), 0), (int(width * share * random.uniform(0.4, 1.4)), height), (0, height)]
    draw.polygon(corners, fill=colour(random, 0, 256))
    for k in range(int(random.integers(2, 6))):
        draw.text(
            (30, height // 5 + 70 * k), sentence(random, 2), font=font(height // 18), fill=colour(random, 200, 256)
        )
    return np.asarray(made)


def terminal(random: np.random.Generator) -> np.ndarray:
    """A screen full of lines of one width, seen from near; uint8[720, 1280, 3]."""
    back = colour(random, 0, 60)
    sheet = Image.new("RGB", (1280, 720), back)
    draw, ink, size = ImageDraw.Draw(sheet), colour(random, 150, 256), int(random.integers(16, 34))
    for y in range(10, 720, int(1.3 * size)):
        draw.text(
            (20, y), f"{random.integers(1e4)} {sentence(random, int(random.integers(1, 8)))}", font=font(size), fill=ink
        )
    made = np.asarray(sheet)
    return photographed(made, random)[120:840, 160:1120] if random.random() < 0.5 else made


def logo(random: np.random.Generator) -> np.ndarray:
    """A sign or mark with a name on one colour; uint8[600, 900, 3]."""
    sheet = Image.new("RGB", (900, 600), colour(random, 200, 256) if random.random() < 0.7 else colour(random, 0, 60))
    draw, ink = ImageDraw.Draw(sheet), colour(random, 0, 256)
    x, y, size = int(random.integers(330, 470)), int(random.integers(90, 180)), int(random.integers(60, 180))
    (draw.ellipse if random.random() < 0.5 else draw.rectangle)((x, y, x + size, y + size), fill=ink)
    draw.text((200, 350), sentence(random, 2), font=font(int(random.integers(40, 70))), fill=ink)
    return np.asarray(sheet)


DOCUMENTS = (spread, board, sign)
SCREENS = (terminal, logo)
FROM_PHOTOGRAPHS = (painted, thermal, flyer)
