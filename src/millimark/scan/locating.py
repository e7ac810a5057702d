"""From an image to the page in it: registration marks, the page code, dots, print scale.

What cannot be located is an `Unread` reason in a teacher's words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import zxingcpp
from numpy.typing import NDArray

from millimark.scan.mapping import PageFit, Pairs, fit_page
from millimark.scan.markers import FoundMarks, find_marks
from millimark.scan.medians import medians
from millimark.scan.models import Setting
from millimark.scan.paper_edges import PLAUSIBLE, SIGMA, scale_from_edges
from millimark.scan.reading import ScaleSource
from millimark.sheet.code import PageCode, decode
from millimark.sheet.layout import CodeBox, Dot, Layout, PageMap, RegistrationMark, SheetMap

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]

LEAST_MARKS = 3
NO_CODE = "the page code cannot be read"
"""How the reason begins where everything but the page code was found."""
_SCANNER_SIGMA = 0.0015
"""Scale error of a desk scanner: 0.1 to 0.3 mm over a page (ACRS 1997, read in the source)."""
_ASSUMED_SIGMA = 0.02
_STATED_SIGMA = 0.003
"""A third of a millimetre in reading the 100 mm check rule (common practice, no source)."""
_DOT_ROUNDS = 12
_NEARLY_ALL = 0.9
_SHAPE = 0.05
"""How much a scan of the whole page may be longer or broader than the page, as a share."""
_MODULES = 25
"""Modules a side of a QR symbol of version 2 (ISO/IEC 18004)."""
_FORMATS = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])


@dataclass(frozen=True, eq=False)
class Located:
    """The page that the image shows and how it lies in it."""

    sheet: SheetMap
    page: PageMap
    fit: PageFit


def locate(grey: Grey, layout: Layout, named: PageCode | None = None) -> Located | str:
    """The page and its map, or the reason why there is none.

    ``named`` is what somebody says that the page's code is; it counts where the code itself
    cannot be read.
    """
    page = layout.sheets[0].pages[0]
    found = find_marks(grey, {mark.id for mark in page.marks}, _if_scanned(grey, page))
    pairs = mark_pairs(found, page.marks)
    if len(pairs) < 4 * LEAST_MARKS or _in_a_row(pairs.px):
        return _why_not(grey, len(pairs) // 4, len(page.marks))
    setting = _setting(grey, page)
    fit = fit_page(setting, pairs, smooth=False)
    if fit is None:
        return "the registration marks do not lie as on a page: they cannot be matched"
    code = read_code(grey, fit, page.codes)
    if isinstance(code, str):
        if named is None:
            return code
        code = named
    if named is not None and code != named:
        return (
            f"its code names page {code.page} of sheet {code.sheet}, not page {named.page} of "
            f"sheet {named.sheet} as it was named by hand"
        )
    known = _known_page(code, layout)
    if isinstance(known, str):
        return known
    sheet, page = known
    return Located(sheet, page, _refined(grey, setting, fit, pairs, page))


def _if_scanned(grey: Grey, page: PageMap) -> Array | None:
    """Corners (M, 4, 2) px of the page's marks in a scan of the whole page that lay straight; None
    where the image has not the page's shape."""
    across, down = grey.shape[1] / page.width_mm, grey.shape[0] / page.height_mm
    if abs(across / down - 1.0) > _SHAPE:
        return None
    corners = np.array([_corners(mark) for mark in page.marks])
    px: Array = corners * np.array([across, down]) - 0.5
    return px


def _corners(mark: RegistrationMark) -> Array:
    """The mark's corners (4, 2) page mm."""
    square = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    corners: Array = np.array([mark.x, mark.y]) + mark.side * square
    return corners


def mark_pairs(found: FoundMarks, marks: Sequence[RegistrationMark]) -> Pairs:
    """The corners of the marks that belong to the page, as known points."""
    places = {m.id: m for m in marks}
    rows = [i for i, number in enumerate(found.ids) if int(number) in places]
    xy = [_corners(places[int(found.ids[i])]) for i in rows]
    if not xy:
        return Pairs(np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
    return Pairs(np.vstack(xy), found.corners[rows].reshape(-1, 2), np.repeat(found.sigma[rows], 4))


def read_code(grey: Grey, fit: PageFit, codes: Sequence[CodeBox]) -> PageCode | str:
    """What the page's code says: looked for where the marks place it, then everywhere."""
    for box in codes:
        code = _first_code(_flattened(grey, fit, box.box))
        if code is not None:
            return code
    code = _first_code(grey)
    if code is not None:
        return code
    return f"{NO_CODE} (both copies are covered, smudged or blurred)"


def print_scale(
    grey: Grey, fit: PageFit, dpi: tuple[float, float] | None, stated: float | None
) -> tuple[float, ScaleSource, float]:
    """Paper mm per page mm, where it comes from, its standard uncertainty."""
    if stated is not None:
        return stated, "stated", _STATED_SIGMA
    scanned = scanner_scale(fit, dpi)
    if scanned is not None:
        return scanned, "scanner", _SCANNER_SIGMA
    by_paper = None if fit.is_flat else scale_from_edges(grey, fit)
    if by_paper is not None:
        return by_paper, "paper", SIGMA
    return 1.0, "assumed", _ASSUMED_SIGMA


def scanner_scale(fit: PageFit, dpi: tuple[float, float] | None) -> float | None:
    """Paper mm per page mm by a scanner's stated resolution; None where the image was taken by
    no scanner: its page lies askew or bent, or states no resolution that can be believed."""
    if dpi is None or not fit.as_scanned:
        return None
    middle = fit.pairs.xy.mean(axis=0, keepdims=True)
    paper = fit.model.jacobian(middle)[0] * (25.4 / np.array(dpi))[:, None]
    scale = math.sqrt(abs(float(np.linalg.det(paper))))
    return scale if PLAUSIBLE[0] <= scale <= PLAUSIBLE[1] else None


def _setting(grey: Grey, page: PageMap) -> Setting:
    return Setting(page.width_mm, page.height_mm, grey.shape[1], grey.shape[0])


def _in_a_row(px: Array) -> bool:
    """Whether the points' lesser spread is under 3 % of the greater."""
    singular = np.linalg.svd(px - px.mean(axis=0), compute_uv=False)
    return bool(singular[1] < 0.03 * singular[0])


def _why_not(grey: Grey, seen: int, of: int) -> str:
    mirrored = find_marks(np.ascontiguousarray(grey[:, ::-1]))
    if len(mirrored) >= LEAST_MARKS and len(mirrored) > seen:
        return "the page is mirrored: it was scanned or copied through its back; scan its front"
    if seen == 0:
        return "no registration marks found: this is no page of a paper, or it is too blurred"
    return (
        f"only {seen} of {of} registration marks can be seen, and {LEAST_MARKS} apart from each "
        "other are needed: scan the whole page"
    )


def _known_page(code: PageCode, layout: Layout) -> tuple[SheetMap, PageMap] | str:
    if code.paper_id != layout.paper_id:
        return (
            f"a page of another paper: its code names paper {code.paper_id}, "
            f"this layout is of paper {layout.paper_id}"
        )
    for sheet in layout.sheets:
        if sheet.sheet == code.sheet:
            for page in sheet.pages:
                if page.page == code.page:
                    return sheet, page
            return f"sheet {code.sheet} has no page {code.page} in this layout"
    return f"sheet {code.sheet} is not in this layout"


def _flattened(grey: Grey, fit: PageFit, box: tuple[float, float, float, float]) -> Grey:
    """The code's square, straightened, with at least 4 px a module."""
    x0, y0, x1, y1 = box
    per_mm = 5.0 * _MODULES / (0.75 * (x1 - x0))
    return window(grey, fit, (x0 - 1.0, y0 - 1.0, x1 + 1.0, y1 + 1.0), per_mm)


def _first_code(picture: Grey) -> PageCode | None:
    for symbol in zxingcpp.read_barcodes(picture, formats=_FORMATS):
        code = decode(symbol.text)
        if code is not None:
            return code
    return None


def window(grey: Grey, fit: PageFit, box: tuple[float, float, float, float], per_mm: float) -> Grey:
    """A page box (mm) straightened through a homography of its own, ``per_mm`` px a mm."""
    x0, y0, x1, y1 = box
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    size = (max(1, round((x1 - x0) * per_mm)), max(1, round((y1 - y0) * per_mm)))
    there = (corners - [x0, y0]) * per_mm - 0.5
    matrix = cv2.getPerspectiveTransform(
        there.astype(np.float32), fit.px(corners).astype(np.float32)
    )
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    picture = cv2.warpPerspective(grey, matrix, size, flags=flags, borderValue=255)
    return np.asarray(picture, dtype=np.uint8)


def _refined(grey: Grey, setting: Setting, fit: PageFit, pairs: Pairs, page: PageMap) -> PageFit:
    """The map fitted again with every printed dot that can be measured.

    A better map finds dots that the first one looked for too far away, so it is done again
    while that brings more than a few.
    """
    seen = 0
    for _ in range(_DOT_ROUNDS):
        dots = measured_dots(grey, fit, page.dots)
        again = fit_page(setting, pairs.and_(dots), warm=fit)
        fit = fit if again is None else again
        if len(dots) <= seen + 2 or len(dots) > _NEARLY_ALL * len(page.dots):
            break
        seen = len(dots)
    return fit


def measured_dots(grey: Grey, fit: PageFit, dots: Sequence[Dot]) -> Pairs:
    """Centres of the dots that stand out clearly where they are expected.

    The darkness above the local paper is weighed inside a disc of 1.1 diameters; a dot
    that a stroke touches has too much of it, or too much outside the disc.
    """
    none = Pairs(np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
    if not dots:
        return none
    at = np.array([(d.x, d.y) for d in dots])
    size = np.array([d.diameter for d in dots])
    centre = at.copy()
    steps = np.linspace(-1.0, 1.0, 21)
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    radius = np.hypot(grid[:, 0], grid[:, 1])
    outside, inside = radius > 0.85, radius < 0.62
    around = (radius > 0.72) & (radius < 1.0)
    good = np.ones(len(dots), dtype=bool)
    for reach in (2.2, 1.7, 1.7):
        half = (reach * size)[:, None]
        at_px = fit.px((centre[:, None, :] + half[:, :, None] * grid).reshape(-1, 2))
        dark = _darkness(grey, at_px.reshape(len(dots), -1, 2), outside)
        peak = dark.max(axis=1)
        near = np.where(inside & (dark > 0.15 * peak[:, None]), dark, 0.0)
        mass = near.sum(axis=1)
        shift = half * (near @ grid) / np.maximum(mass, 1e-6)[:, None]
        ring = np.abs(dark[:, around]).max(axis=1)
        good &= (peak > 0.04) & (ring < 0.35 * peak)
        centre = centre + np.where(good[:, None], shift, 0.0)
    moved = np.hypot(*(centre - at).T)
    good &= (moved < 1.2 * size) & _usual(mass / size**2, good)
    sigma = np.full(len(dots), 0.06 * max(1.0, fit.px_per_mm / 12.0))
    return Pairs(at, fit.px(centre), sigma).only(good) if good.any() else none


def _darkness(grey: Grey, px: Array, ground: NDArray[np.bool_]) -> Array:
    """1 - value over the local paper (median of ``ground`` samples), (N, S)."""
    where = px.astype(np.float32)
    values = cv2.remap(
        grey, where[..., 0], where[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    level = np.asarray(values, dtype=np.float64)
    paper = np.maximum(medians(level[:, ground]), 1.0)
    darkness: Array = 1.0 - level / paper[:, None]
    return darkness


def _usual(mass: Array, good: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Masses within a factor of 1.8 of the median of the good ones."""
    if not good.any():
        return good
    typical = float(np.median(mass[good]))
    usual: NDArray[np.bool_] = (mass > typical / 1.8) & (mass < typical * 1.8)
    return usual
