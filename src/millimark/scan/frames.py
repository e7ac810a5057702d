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
from scipy.interpolate import RectBivariateSpline

from millimark.scan.mapping import PageFit

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]

PX_PER_MM = 8.0
"""Resolution in which frames are straightened: 203 dpi. Finer gains nothing measurable on
pencil (docs/measurement.md) and costs time with its square."""
PRINT_SPREAD_MM = 0.20
"""How far ink is taken to show beyond the known print: dot gain and the scanner's blur."""
_INK_BELOW = 236
"""Grey value of the known page below which a pixel is printed."""
_STRAIGHT_ENOUGH = 0.08
"""px: a frame whose own homography fits the map this well needs no other warp."""
_STEP = 16
"""px between the nodes at which a bent map is evaluated; linear between them (2 mm apart, which
costs under 0.001 mm; OpenCV's cubic does not reproduce a straight line)."""


@dataclass(frozen=True, eq=False)
class Window:
    """A straightened page box: ``box`` (x0, y0, x1, y1) mm and its ``picture``."""

    box: tuple[float, float, float, float]
    px_per_mm: float
    picture: Grey

    def part(self, rows: slice, columns: slice) -> Window:
        """The part of the frame in these rows and columns, as a window of its own."""
        x0, y0 = (self.box[k] + s.start / self.px_per_mm for k, s in ((0, columns), (1, rows)))
        picture = self.picture[rows, columns]
        height, width = (n / self.px_per_mm for n in picture.shape)
        return Window((x0, y0, x0 + width, y0 + height), self.px_per_mm, picture)

    def to_mm(self, px: Array) -> Array:
        """Page points (N, 2) mm of frame pixels (N, 2)."""
        mm: Array = np.array(self.box[:2]) + (px + 0.5) / self.px_per_mm
        return mm

    def to_px(self, mm: Array) -> Array:
        """Frame pixels (N, 2) of page points (N, 2) mm."""
        px: Array = (mm - np.array(self.box[:2])) * self.px_per_mm - 0.5
        return px


def straightened(
    grey: Grey, fit: PageFit, box: tuple[float, float, float, float], per_mm: float
) -> Window:
    """The box as it would look seen from straight above."""
    x0, y0, x1, y1 = box
    columns, rows = round((x1 - x0) * per_mm), round((y1 - y0) * per_mm)
    shape = (max(rows, 1), max(columns, 1))
    size = (shape[1], shape[0])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    if fit.is_flat and fit.smooth is None:
        affine = _own_affine(fit, box, per_mm)
        picture = cv2.warpAffine(grey, affine, size, flags=flags, borderValue=255)
        return Window(box, per_mm, np.asarray(picture, dtype=np.uint8))
    matrix, off = _own_homography(fit, box, per_mm)
    if off < _STRAIGHT_ENOUGH:
        picture = cv2.warpPerspective(grey, matrix, size, flags=flags, borderValue=255)
    else:
        across, down = _bent_map(fit, box, per_mm, shape)
        picture = cv2.remap(grey, across, down, cv2.INTER_LINEAR, borderValue=255)
    return Window(box, per_mm, np.asarray(picture, dtype=np.uint8))


def _own_affine(fit: PageFit, box: tuple[float, float, float, float], per_mm: float) -> Array:
    """Frame px -> image px (2, 3) under a map that is affine all over."""
    corner = np.array(box[:2]) + 0.5 / per_mm
    first, across, down = fit.px(corner + np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    return np.column_stack(((across - first) / per_mm, (down - first) / per_mm, first))


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
    at_x = np.arange(columns, dtype=np.float64) * _STEP - 0.5 * _STEP - 0.5
    at_y = np.arange(rows, dtype=np.float64) * _STEP - 0.5 * _STEP - 0.5
    sparse_x, sparse_y = _sparse(at_x), _sparse(at_y)
    gx, gy = np.meshgrid(sparse_x, sparse_y)
    nodes = np.column_stack((gx.ravel(), gy.ravel()))
    known = fit.px(np.array(box[:2]) + (nodes + 0.5) / per_mm).reshape(*gx.shape, 2)
    image = np.stack(
        [RectBivariateSpline(sparse_y, sparse_x, known[..., k])(at_y, at_x) for k in (0, 1)],
        axis=-1,
    )
    size = (columns * _STEP, rows * _STEP)
    full = cv2.resize(image.astype(np.float32), size, interpolation=cv2.INTER_LINEAR)
    inner = full[_STEP : _STEP + shape[0], _STEP : _STEP + shape[1]]
    return np.ascontiguousarray(inner[..., 0]), np.ascontiguousarray(inner[..., 1])


def _sparse(at: Array) -> Array:
    """About every fourth of the places ``at``, ends included, at least four: a cubic spline
    through them gives the rest."""
    places = np.linspace(float(at[0]), float(at[-1]), max(4, len(at) // 4 + 1))
    return np.asarray(places, dtype=np.float64)


def hidden_by_print(printed: Grey, window: Window, sigma_mm: float) -> Mask:
    """Where the known page (``printed``, whole, at the window's resolution) covers the frame.

    Spread by `PRINT_SPREAD_MM` and twice the map's uncertainty.
    """
    rows, columns = window.picture.shape
    left, top = (round(v * window.px_per_mm) for v in window.box[:2])  # half a pixel is nothing
    part = printed[max(top, 0) : top + rows, max(left, 0) : left + columns]
    ink = cv2.threshold(part, _INK_BELOW - 1, 1.0, cv2.THRESH_BINARY_INV)[1]
    if part.shape != window.picture.shape:  # the frame reaches beyond the page
        rows, columns = rows - part.shape[0], columns - part.shape[1]
        ink = cv2.copyMakeBorder(ink, 0, rows, 0, columns, cv2.BORDER_CONSTANT)
    reach = (PRINT_SPREAD_MM + min(2.0 * sigma_mm, 0.5)) * window.px_per_mm
    size = 2 * max(1, round(reach)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.dilate(ink, disc), dtype=np.bool_)


def pencil_darkness(window: Window, unseen: Mask, paper: Dark) -> Dark:
    """Darkness above the ``paper``'s grey values (H, W), 0 to 1, 0 where print hides it; it is
    written over the ``paper``, since fresh memory takes longer than the division."""
    scaled = cv2.divide(window.picture, paper, dst=paper, scale=-1.0, dtype=cv2.CV_32F)
    dark = np.asarray(scaled, np.float32)
    dark += 1.0
    cv2.threshold(dark, 0.0, 0.0, cv2.THRESH_TOZERO, dst=dark)
    dark[unseen] = 0.0
    return dark
