"""One answer frame, straightened: its picture, where print hides it, its pencil's darkness.

Frame pixels: centre of pixel (column i, row j) at page x = x0 + (i + 1/2) / px_per_mm,
y = y0 + (j + 1/2) / px_per_mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.mapping import PageFit

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]

COARSEST, FINEST = 8.0, 10.0
"""Resolutions (px per mm) in which frames are straightened."""
PRINT_SPREAD_MM = 0.20
"""How far ink is taken to show beyond the known print: dot gain and the scanner's blur."""
_INK_BELOW = 236
"""Grey value of the known page below which a pixel is printed."""
_STRAIGHT_ENOUGH = 0.08
"""px: a frame whose own homography fits the map this well needs no other warp."""
_STEP = 32
"""px between the nodes at which a bent map is evaluated."""
_DARKEST_PAPER = 0.97
"""A scanner's paper is even: below this share of it a large patch is pencil, not shadow."""


@dataclass(frozen=True, eq=False)
class Window:
    """A straightened page box: ``box`` (x0, y0, x1, y1) mm and its ``picture``."""

    box: tuple[float, float, float, float]
    px_per_mm: float
    picture: Grey

    def to_mm(self, px: Array) -> Array:
        """Page points (N, 2) mm of frame pixels (N, 2)."""
        mm: Array = np.array(self.box[:2]) + (px + 0.5) / self.px_per_mm
        return mm

    def to_px(self, mm: Array) -> Array:
        """Frame pixels (N, 2) of page points (N, 2) mm."""
        px: Array = (mm - np.array(self.box[:2])) * self.px_per_mm - 0.5
        return px


def density(fit: PageFit) -> float:
    """Frame resolution for an image of this resolution, px per mm."""
    return FINEST if fit.px_per_mm > 0.5 * (COARSEST + FINEST) else COARSEST


def straightened(
    grey: Grey, fit: PageFit, box: tuple[float, float, float, float], per_mm: float
) -> Window:
    """The box as it would look seen from straight above."""
    x0, y0, x1, y1 = box
    columns, rows = round((x1 - x0) * per_mm), round((y1 - y0) * per_mm)
    shape = (max(rows, 1), max(columns, 1))
    matrix, off = _own_homography(fit, box, per_mm)
    size = (shape[1], shape[0])
    if off < _STRAIGHT_ENOUGH:
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        picture = cv2.warpPerspective(grey, matrix, size, flags=flags, borderValue=255)
    else:
        across, down = _bent_map(fit, box, per_mm, shape)
        picture = cv2.remap(grey, across, down, cv2.INTER_LINEAR, borderValue=255)
    return Window(box, per_mm, np.asarray(picture, dtype=np.uint8))


def _own_homography(
    fit: PageFit, box: tuple[float, float, float, float], per_mm: float
) -> tuple[Array, float]:
    """Frame px -> image px for this frame alone, and its greatest deviation, px."""
    x0, y0, x1, y1 = box
    gx, gy = np.meshgrid(np.linspace(x0, x1, 9), np.linspace(y0, y1, 9))
    mm = np.column_stack((gx.ravel(), gy.ravel()))
    there = (mm - [x0, y0]) * per_mm - 0.5
    image = fit.px(mm)
    matrix = np.asarray(cv2.findHomography(there, image, 0)[0], dtype=np.float64)
    again = cv2.perspectiveTransform(there[None], matrix)[0]
    return matrix, float(np.hypot(*(again - image).T).max())


def _bent_map(
    fit: PageFit, box: tuple[float, float, float, float], per_mm: float, shape: tuple[int, int]
) -> tuple[Dark, Dark]:
    """Image x and y for every frame pixel, from nodes every `_STEP` px and one beyond."""
    rows, columns = (math.ceil(n / _STEP) + 2 for n in shape)
    at_x = (np.arange(columns) - 0.5) * _STEP - 0.5
    at_y = (np.arange(rows) - 0.5) * _STEP - 0.5
    gx, gy = np.meshgrid(at_x, at_y)
    nodes = np.column_stack((gx.ravel(), gy.ravel()))
    image = fit.px(np.array(box[:2]) + (nodes + 0.5) / per_mm).reshape(rows, columns, 2)
    size = (columns * _STEP, rows * _STEP)
    full = cv2.resize(image.astype(np.float32), size, interpolation=cv2.INTER_CUBIC)
    inner = full[_STEP : _STEP + shape[0], _STEP : _STEP + shape[1]]
    return np.ascontiguousarray(inner[..., 0]), np.ascontiguousarray(inner[..., 1])


def hidden_by_print(printed: Grey, window: Window, sigma_mm: float) -> Mask:
    """Where the known page (``printed``, whole, at the window's resolution) covers the frame.

    Spread by `PRINT_SPREAD_MM` and twice the map's uncertainty.
    """
    rows, columns = window.picture.shape
    shift = np.array([[1.0, 0.0, window.box[0]], [0.0, 1.0, window.box[1]]])
    shift[:, 2] *= window.px_per_mm
    part = cv2.warpAffine(
        printed,
        shift,
        (columns, rows),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderValue=255,
    )
    ink = (np.asarray(part) < _INK_BELOW).astype(np.uint8)
    reach = (PRINT_SPREAD_MM + min(2.0 * sigma_mm, 0.5)) * window.px_per_mm
    size = 2 * max(1, round(reach)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.dilate(ink, disc), dtype=np.bool_)


def pencil_darkness(window: Window, unseen: Mask, *, even: bool) -> Dark:
    """Darkness above the local paper, 0 to 1, 0 where print hides it.

    ``even``: the light is even (a scanner), so wide grey areas are pencil; otherwise they are
    taken for shadow where they are as wide as a hand's.
    """
    paper = paper_level(window, unseen, even=even)
    ratio = cv2.divide(window.picture, paper, scale=1.0, dtype=cv2.CV_32F)
    dark = np.asarray(np.clip(1.0 - ratio, 0.0, 1.0), dtype=np.float32)
    dark[unseen] = 0.0
    return dark


def paper_level(window: Window, unseen: Mask, *, even: bool) -> Dark:
    """Brightness of blank paper at each pixel, (H, W) float32 grey values."""
    picture = window.picture
    rows, columns = picture.shape
    cell = max(1, round(window.px_per_mm / 2))
    small_size = (max(columns // cell, 1), max(rows // cell, 1))
    small = cv2.resize(picture, small_size, interpolation=cv2.INTER_AREA)
    hidden = cv2.resize(unseen.astype(np.uint8), small_size, interpolation=cv2.INTER_AREA)
    reach = 9 if even else 25  # half millimetres
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    closed = cv2.morphologyEx(small, cv2.MORPH_CLOSE, disc)
    smooth = cv2.GaussianBlur(closed.astype(np.float32), (0, 0), reach / 2)
    surface = _surface(np.asarray(small, dtype=np.float32), np.asarray(hidden) == 0)
    least = (_DARKEST_PAPER if even else 0.3) * surface
    level = np.minimum(np.maximum(smooth, least), 1.04 * surface if even else 255.0)
    full = cv2.resize(level, (columns, rows), interpolation=cv2.INTER_LINEAR)
    return np.asarray(np.maximum(full, 1.0), dtype=np.float32)


def _surface(small: Dark, clear: Mask) -> Dark:
    """A quadratic surface through the bright cells: dark ones lose their weight."""
    rows, columns = small.shape
    gy, gx = np.mgrid[0:rows, 0:columns].astype(np.float64)
    u, v = 2 * gx / max(columns - 1, 1) - 1, 2 * gy / max(rows - 1, 1) - 1
    terms = np.stack((np.ones_like(u), u, v, u * u, u * v, v * v), axis=-1)
    step = max(1, int(math.sqrt(rows * columns / 4000)))
    some = (slice(None, None, step), slice(None, None, step))
    basis, value = terms[some].reshape(-1, 6), small[some].ravel().astype(np.float64)
    weight: Array = clear[some].ravel().astype(np.float64)
    if weight.sum() < 20:
        weight[:] = 1.0
    top = float(np.percentile(value[weight > 0], 75))
    weight *= value > 0.6 * top
    solution: Array = np.zeros(6)
    for _ in range(6):
        left = basis * weight[:, None]
        solution[:] = np.linalg.lstsq(left, value * weight, rcond=None)[0]
        off: Array = value - basis @ solution
        spread = max(1.0, 1.4826 * float(np.median(np.abs(off[weight > 0]))))
        weight[:] = clear[some].ravel() * (off > -1.5 * spread) * (off < 4.0 * spread)
        if weight.sum() < 20:
            break
    level = np.maximum(terms.reshape(-1, 6) @ solution, 1.0).reshape(rows, columns)
    return np.asarray(level, dtype=np.float32)
