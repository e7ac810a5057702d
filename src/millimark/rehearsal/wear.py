"""What happens to a sheet between the desk and the scanner: folds, smudges, holes, stains.

Everything is done to the picture of the printed page (grey, ``px_per_mm`` to the page mm)
before it is captured. Nothing here moves a line.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]
Rng = np.random.Generator

DESK_GREY = 150
BACK_GREY = 238


def wear_out(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> list[str]:
    """Do one or two kinds of wear to ``page`` in place; what was done. ``blank`` is the
    printed page without pencil (what ink there is does not smudge)."""
    names = list(KINDS)
    count = 1 + int(rng.random() < 0.3)
    done = [names[int(i)] for i in rng.choice(len(names), size=count, replace=False)]
    for name in done:
        KINDS[name](page, blank, px_per_mm, rng)
    return done


def smudge(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> None:
    """A sleeve drags graphite some millimetres to one side, over part of the page."""
    import cv2

    h, w = page.shape
    size = [int(rng.uniform(30, 70) * px_per_mm) for _ in range(2)]
    x = int(rng.uniform(0.15, 0.6) * w)
    y = int(rng.uniform(0.15, 0.7) * h)
    patch = (slice(y, min(h, y + size[1])), slice(x, min(w, x + size[0])))
    pencil = cv2.subtract(blank[patch], page[patch])
    length = int(rng.uniform(4, 9) * px_per_mm) | 1
    kernel = np.zeros((length, length), dtype=np.float32)
    slope = rng.uniform(-0.6, 0.6)
    middle = length // 2
    for i in range(length):
        kernel[min(length - 1, max(0, int(middle + slope * (i - middle)))), i] = 1 - i / length
    drag = cv2.filter2D(pencil, cv2.CV_32F, kernel / kernel.sum(), borderType=cv2.BORDER_CONSTANT)
    fade = np.outer(np.hanning(drag.shape[0]), np.hanning(drag.shape[1])) ** 0.5
    film = 5.0 * fade  # a little graphite everywhere the sleeve went
    dirty = page[patch] - (0.55 * drag * fade + film)
    page[patch] = np.clip(np.rint(dirty), 0, 255).astype(np.uint8)


def fold(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> None:
    """A corner turned over: its print is hidden, and so is what it covers."""
    import cv2

    h, w = page.shape
    a, b = (rng.uniform(14, 32) * px_per_mm for _ in range(2))
    right, low = (bool(v) for v in rng.integers(0, 2, 2))
    corner = np.array([w if right else 0.0, h if low else 0.0])
    p = corner + np.array([-a if right else a, 0.0])
    q = corner + np.array([0.0, -b if low else b])
    along = (q - p) / np.hypot(*(q - p))
    foot = p + along * float((corner - p) @ along)
    tip = 2 * foot - corner
    cv2.fillConvexPoly(page, np.rint([corner, p, q]).astype(np.int32), DESK_GREY)
    cv2.fillConvexPoly(page, np.rint([tip, p, q]).astype(np.int32), BACK_GREY)
    edge = np.rint([p, tip, q]).astype(np.int32)
    cv2.polylines(page, [edge], False, 190, max(1, int(0.4 * px_per_mm)), cv2.LINE_AA)


def punch(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> None:
    """Two holes for a ring binder: 6 mm wide, 80 mm apart, 12 mm from the left edge
    (ISO 838, from memory)."""
    import cv2

    h = page.shape[0]
    for side in (-40.0, 40.0):
        at = (int(12 * px_per_mm), int(h / 2 + (side + rng.normal(0, 0.5)) * px_per_mm))
        cv2.circle(page, at, int(3 * px_per_mm), DESK_GREY, -1, cv2.LINE_AA)


def stain(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> None:
    """The ring of a cup."""
    import cv2

    h, w = page.shape
    small = 4.0 / px_per_mm  # drawn at 4 px to the mm, then enlarged: it has no sharp edge
    ring = np.zeros((int(h * small), int(w * small)), dtype=np.uint8)
    at = (int(rng.uniform(0.2, 0.8) * ring.shape[1]), int(rng.uniform(0.2, 0.8) * ring.shape[0]))
    cv2.circle(ring, at, int(rng.uniform(32, 40) * 4), int(rng.uniform(14, 34)), 8, cv2.LINE_AA)
    soft = cv2.GaussianBlur(ring, (0, 0), 3.0)
    page[:] = cv2.subtract(page, cv2.resize(soft, (w, h), interpolation=cv2.INTER_LINEAR))


def crease(page: Picture, blank: Picture, px_per_mm: float, rng: Rng) -> None:
    """A fold that was opened again: a soft pale and dark line across the sheet."""
    import cv2

    h, w = page.shape
    y = rng.uniform(0.3, 0.7) * h
    ends = [(0, int(y)), (w, int(y + rng.uniform(-0.05, 0.05) * h))]
    small = np.zeros((h // 4, w // 4), dtype=np.uint8)
    scaled = [(int(px / 4), int(py / 4)) for px, py in ends]
    width = max(1, int(0.8 * px_per_mm / 4))
    cv2.line(small, scaled[0], scaled[1], int(rng.uniform(18, 40)), width, cv2.LINE_AA)
    soft = cv2.GaussianBlur(small, (0, 0), 0.5 * px_per_mm / 4)
    page[:] = cv2.subtract(page, cv2.resize(soft, (w, h), interpolation=cv2.INTER_LINEAR))


KINDS: dict[str, Callable[[Picture, Picture, float, Rng], None]] = {
    "smudge": smudge,
    "fold": fold,
    "punch": punch,
    "stain": stain,
    "crease": crease,
}
