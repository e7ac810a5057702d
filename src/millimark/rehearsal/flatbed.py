"""A flatbed scanner: the printed sheet laid a little askew on the glass.

Printing at a scale other than 1 shrinks or grows the page's content about the middle of
the sheet; the sheet keeps its size. ``to_image`` maps page mm to pixels, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

MM_PER_INCH = 25.4
PAPER_GREY, INK_GREY = 247, 38
GRAIN = 1021
"""Side of the repeating tile of sensor noise, px: a prime, so that rows do not line up."""


@dataclass(frozen=True)
class Laid:
    """How one sheet was printed and lay: skew in degrees, stretch of the scanner in each
    direction (parts of one), shift of the print and of the sheet in mm, blur in mm (standard
    deviation), noise in grey levels, illumination fall-off (share), lid grey; for a
    feeder, how far the paper runs fast and slow."""

    skew_deg: float
    stretch: tuple[float, float]
    print_shift: tuple[float, float]
    shift: tuple[float, float]
    blur_mm: float
    noise: float
    falloff: float
    lid: int
    wobble_mm: float = 0.0
    wobble_phase: float = 0.0


@dataclass(frozen=True, eq=False)
class Capture:
    """A picture of a page: ``image`` (H, W) grey or (H, W, 3) RGB uint8.

    ``to_image`` (3, 3) takes page mm to pixels; where no matrix does, ``grid`` (N, 4) lists
    page mm x, y and pixels x, y.
    """

    image: NDArray[np.uint8]
    to_image: NDArray[np.float64] | None
    grid: NDArray[np.float64] | None = None


def lay(rng: np.random.Generator) -> Laid:
    """One sheet laid by an ordinary hand on an ordinary scanner."""
    return Laid(
        skew_deg=float(np.clip(rng.normal(0.0, 0.6), -1.8, 1.8)),
        stretch=(1.0 + float(rng.normal(0, 3e-4)), 1.0 + float(rng.normal(0, 3e-4))),
        print_shift=(float(rng.normal(0, 0.5)), float(rng.normal(0, 0.5))),
        shift=(float(rng.normal(0, 0.8)), float(rng.normal(0, 0.8))),
        blur_mm=float(rng.uniform(0.030, 0.055)),
        noise=float(rng.uniform(1.2, 3.0)),
        falloff=float(rng.uniform(0.0, 0.05)),
        lid=int(rng.integers(225, 256)),
    )


WOBBLE_MM = 31.0
"""How far a feeder's roller goes round, mm of paper."""


def fed(laid: Laid, rng: np.random.Generator) -> Laid:
    """The same sheet through a feeder: pulled straight, stretched along its way by up to
    0.3 %, and unevenly by some hundredths of a millimetre (the project's own trial figures)."""
    return replace(
        laid,
        skew_deg=laid.skew_deg * 0.6,
        stretch=(laid.stretch[0], 1.0 + float(np.clip(rng.normal(0, 1e-3), -3e-3, 3e-3))),
        wobble_mm=float(rng.uniform(0.02, 0.05)),
        wobble_phase=float(rng.uniform(0, 2 * np.pi)),
    )


def page_to_sheet(
    size_mm: tuple[float, float], print_scale: float, shift: tuple[float, float]
) -> NDArray[np.float64]:
    """(3, 3): page mm to paper mm on the sheet, the print centred but for ``shift``."""
    move = [(1.0 - print_scale) * size_mm[i] / 2 + shift[i] for i in (0, 1)]
    return np.array([[print_scale, 0, move[0]], [0, print_scale, move[1]], [0, 0, 1.0]])


def sheet_to_image(
    size_mm: tuple[float, float], laid: Laid, dpi: float, upside_down: bool
) -> NDArray[np.float64]:
    """(3, 3): paper mm on the sheet to pixels of the scan."""
    middle = np.array(size_mm) / 2
    a = np.radians(laid.skew_deg + (180.0 if upside_down else 0.0))
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    linear = np.diag(laid.stretch) @ turn * (dpi / MM_PER_INCH)
    move = (middle + np.array(laid.shift)) * dpi / MM_PER_INCH - 0.5 - linear @ middle
    return np.array([[*linear[0], move[0]], [*linear[1], move[1]], [0, 0, 1.0]])


def scan(
    page: NDArray[np.uint8],
    px_per_mm: float,
    size_mm: tuple[float, float],
    print_scale: float,
    laid: Laid,
    dpi: float,
    upside_down: bool,
    rng: np.random.Generator,
) -> Capture:
    """Scan ``page`` (H, W) uint8, a picture of the whole printed page with its pencil."""
    import cv2

    sheet = sheet_to_image(size_mm, laid, dpi, upside_down)
    to_image = sheet @ page_to_sheet(size_mm, print_scale, laid.print_shift)
    k = 1.0 / px_per_mm
    to_page = np.array([[k, 0, k / 2], [0, k, k / 2], [0, 0, 1.0]])
    width, height = (round(s * dpi / MM_PER_INCH) for s in size_mm)
    fine = px_per_mm / print_scale * max(laid.blur_mm, 0.4 * MM_PER_INCH / dpi)
    soft = cv2.GaussianBlur(page, (0, 0), fine)
    seen = cv2.warpAffine(
        soft, (to_image @ to_page)[:2], (width, height), flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=PAPER_GREY,
    )  # fmt: skip
    if laid.wobble_mm:
        seen = _unevenly_fed(np.asarray(seen, dtype=np.uint8), laid, dpi)
    image = _off_sheet(np.asarray(seen, dtype=np.uint8), sheet, size_mm, laid.lid)
    return Capture(_light_and_noise(image, laid, rng), to_image)


def _unevenly_fed(image: NDArray[np.uint8], laid: Laid, dpi: float) -> NDArray[np.uint8]:
    """Rows that lag and lead: row y shows what stood at y + wobble sin(2 pi y / WOBBLE)."""
    import cv2

    h, w = image.shape
    y = np.arange(h, dtype=np.float32)
    per_mm = dpi / MM_PER_INCH
    turn = 2 * np.pi * y / (WOBBLE_MM * per_mm) + laid.wobble_phase
    rows = y + laid.wobble_mm * per_mm * np.sin(turn)
    map_y = np.repeat(rows.astype(np.float32)[:, None], w, axis=1)
    map_x = np.repeat(np.arange(w, dtype=np.float32)[None, :], h, axis=0)
    moved = cv2.remap(image, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(moved, dtype=np.uint8)


def printed(page: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The page (H, W) with the printer's black and the paper's white as a scanner sees them."""
    import cv2

    greys = np.rint(np.linspace(INK_GREY, PAPER_GREY, 256)).astype(np.uint8)
    return np.asarray(cv2.LUT(page, greys), dtype=np.uint8)


def _off_sheet(
    image: NDArray[np.uint8], sheet: NDArray[np.float64], size_mm: tuple[float, float], lid: int
) -> NDArray[np.uint8]:
    """Show the scanner's lid, and the thin shadow of the edge, where no sheet lies."""
    import cv2

    w, h = size_mm
    corners = np.array([[0, 0, 1], [w, 0, 1], [w, h, 1], [0, h, 1]]) @ sheet.T
    outline = np.rint(corners[:, :2]).astype(np.int32)
    off = np.full(image.shape, 255, dtype=np.uint8)
    cv2.fillConvexPoly(off, outline, 0)
    cv2.copyTo(np.full_like(image, lid), off, image)
    cv2.polylines(image, [outline], True, lid - 22, 2, cv2.LINE_AA)
    return image


def _light_and_noise(
    image: NDArray[np.uint8], laid: Laid, rng: np.random.Generator
) -> NDArray[np.uint8]:
    """Uneven light along the page and the sensor's noise."""
    import cv2

    h, w = image.shape
    down = 1.0 - laid.falloff * np.linspace(0, 1, h, dtype=np.float32)
    across = 1.0 - laid.falloff * np.linspace(-0.5, 0.5, w, dtype=np.float32) ** 2
    lit = cv2.multiply(image, np.outer(down, across), dtype=cv2.CV_32F)
    grain = rng.standard_normal((GRAIN, GRAIN), dtype=np.float32) * laid.noise
    again = (-(-h // GRAIN), -(-w // GRAIN))
    noisy = cv2.add(lit, np.tile(grain, again)[:h, :w])
    return np.asarray(cv2.convertScaleAbs(noisy), dtype=np.uint8)
