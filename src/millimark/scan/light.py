"""How a photographed page is lit, told apart from the grey that a pencil laid on it.

The brightness of a page is its light times what the paper gives back. Light, a hand's shadow
included, changes gradually; a shaded area ends at a line or within a millimetre or so. So the
logarithm's slope is followed everywhere but across steps, pencil and print, and the light put
together again from it (Land and McCann, Lightness and retinex theory, 1971; Horn, Determining
lightness from an image, 1974). What is darker than that light all over an area with a sharp
outline is a tone of pencil.

The page is looked at in cells, `CELLS_PER_MM` to the page mm; the centre of cell (column i, row j)
lies at page x = (i + 1/2) / CELLS_PER_MM, y likewise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import dctn, idctn

Grey = NDArray[np.uint8]
Field = NDArray[np.float32]
Mask = NDArray[np.bool_]
Box = tuple[float, float, float, float]

CELLS_PER_MM = 2
_BLANK, ENOUGH = 250, 200
"""Grey value of the known page below which a cell holds print; how many cells make up a paper."""
_ROUGH = 1.6
"""Times blank paper's roughness from which a cell is taken for pencil or print."""
_STEP = 0.025
"""Step of brightness (natural logarithm) that can be told from a camera's noise."""
_SHARP = 0.5
"""A step is sharp if this share of it, seen over 8 mm, is there over 1.5 to 2.5 mm."""
_BESIDE, _FAR = ((1, 2), (2, 3)), (4, 12)
"""Cells on each side of a place that are compared: close by, past a line's width, far off."""
_WIDE = 5
_EDGE_MM = 1.5
"""Half the width of what a sharp step's slope is spread over."""
_REACH_MM = (1.5, 4.0, 12.0, 40.0)
_FARTHER = 0.01
"""What a neighbour counts at each further reach, against one of the nearer."""
_SMOOTH_MM = 0.8
"""What is taken off the light's noise; no shadow is as sharp as that."""
_OUTSIDE_MM = 8.0
"""Near its edges the picture may show what is not the page."""
_PATCH_MM = 1.25
_RING_MM = (0.75, 3.0)
_RING_WIDE = 13
_GRAINY = 0.6
"""Shading with the lead is grainy over more of its area than this; a finger's smear is not."""
_RIM_MM = 2.0
"""How far the lines round an even grey hide that it is one."""
_LEVELS = (_STEP, 3 * _STEP, 8 * _STEP)
"""Depths at which the outlines of tones are looked for."""
_STEEP, _OUTLINED = 0.5, 0.6
"""A tone is left behind, by this share of its depth, along this share of its outline."""


@dataclass(frozen=True, eq=False)
class Light:
    """Blank paper's ``level`` (H, W) float32 grey values in each cell, and the cells ``toned``
    (H, W) bool that an even grey without grain covers; None where that is known to be none."""

    level: Field
    toned: Mask | None

    def over(self, box: Box, px_per_mm: float, shape: tuple[int, ...]) -> tuple[Field, Mask | None]:
        """``level`` and ``toned`` for every pixel of a straightened picture of a page ``box``; a
        cell is a whole number of pixels."""
        per = CELLS_PER_MM / px_per_mm
        first = [CELLS_PER_MM * v + per / 2 - 0.5 for v in box[:2]]
        edge = cv2.BORDER_REPLICATE
        # Rows of pixels in columns of cells, one more at each side; then these spread, which is
        # ten times as quick. Frames begin where a column of cells does.
        pixels = round(px_per_mm / CELLS_PER_MM)
        cells = math.ceil(shape[1] / pixels) + 2
        into = np.array([[1.0, 0.0, CELLS_PER_MM * box[0] - 1.0], [0.0, per, first[1]]])
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        rows = cv2.warpAffine(self.level, into, (cells, shape[0]), flags=flags, borderMode=edge)
        size = (cells * pixels, shape[0])
        spread = cv2.resize(rows, size, interpolation=cv2.INTER_LINEAR)
        level = np.asarray(spread, np.float32)[:, pixels : pixels + shape[1]]
        if self.toned is None:
            return level, None
        into = np.array([[per, 0.0, first[0]], [0.0, per, first[1]]])
        size = (shape[1], shape[0])
        flags = cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP
        toned = cv2.warpAffine(self.toned.view(np.uint8), into, size, flags=flags, borderMode=edge)
        return level, np.asarray(toned, np.bool_)


def page_light(picture: Grey, printed: Grey, frames: Sequence[Box], size_mm: Box) -> Light:
    """The light on a whole straightened page.

    ``picture`` and ``printed`` (the known page) are (H, W) grey values of the same page, each at
    its own resolution; ``frames`` are the answer frames, mm; ``size_mm`` is (0, 0, width, height).
    """
    bright, ink = in_cells(picture, printed, size_mm)
    grainy = grainy_cells(picture, (ink.shape[1], ink.shape[0]))
    log = np.log(np.maximum(bright, 1).astype(np.float32))
    clear = ~ink & ~grainy
    seen = np.where(clear, log, _filled(log, clear))
    steps = _sharp_steps(log, clear.astype(np.float32))
    light = _followed(seen, clear & ~_grown(steps, _EDGE_MM))
    left: Field = seen - light
    left -= _blank(left, clear, frames)
    toned = _tones(left)
    paper = clear & ~toned
    level = np.exp(_spread(light + _filled(log - light, paper), _SMOOTH_MM))
    return Light(np.asarray(level, np.float32), _grown(_even(toned, grainy), _RIM_MM))


def in_cells(picture: Grey, printed: Grey, size_mm: Box) -> tuple[Grey, Mask]:
    """The picture's brightness in cells, and the cells at or beside print."""
    size = (round(size_mm[2] * CELLS_PER_MM), round(size_mm[3] * CELLS_PER_MM))
    bright = np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), np.uint8)
    ink = cv2.resize(printed, size, interpolation=cv2.INTER_AREA) < _BLANK
    beside = cv2.dilate(ink.view(np.uint8), np.ones((3, 3), np.uint8))
    return bright, np.asarray(beside, np.bool_)


def grainy_cells(picture: Grey, size: tuple[int, int]) -> Mask:
    """Cells rougher than blank paper is: pencil, shading and print. Shadow is smooth.

    Roughness is the mean departure from a small neighbourhood's mean in grey values (a
    camera's noise hardly depends on the light); blank paper's is the lower quartile of all.
    """
    fine = cv2.absdiff(picture, cv2.blur(picture, (7, 7)))
    coarse = cv2.resize(fine, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    rough = np.asarray(cv2.blur(coarse, (3, 3)))
    usual = float(np.percentile(rough, 25))
    grainy = (rough > _ROUGH * max(usual, 1e-3)).astype(np.uint8)
    return np.asarray(cv2.dilate(grainy, np.ones((3, 3), dtype=np.uint8)), dtype=np.bool_)


def _filled(value: Field, known: Mask) -> Field:
    """The mean of known cells near by, and of those farther off where there are none near.

    ``value`` is (H, W) or (H, W, channels), ``known`` (H, W) bool.
    """
    weight = known.astype(np.float32)
    seen = value * (weight if value.ndim == 2 else weight[..., None])
    total = np.full(value.shape, 0.0, np.float32)
    count = np.full(known.shape, 1e-12, np.float32)
    for k, reach in enumerate(_REACH_MM):
        share = np.float32(_FARTHER**k)
        total += share * _spread(seen, reach)
        count += share * _spread(weight, reach)
    return np.asarray(total / (count if value.ndim == 2 else count[..., None]), np.float32)


def _spread(value: Field, reach_mm: float) -> Field:
    """Gaussian mean with this standard deviation; coarse where it is wide."""
    sigma = reach_mm * CELLS_PER_MM
    size = (value.shape[1], value.shape[0])
    part = max(1, int(sigma / 4))
    if part == 1:
        return np.asarray(cv2.GaussianBlur(value, (0, 0), sigma), np.float32)
    small = cv2.resize(value, (max(size[0] // part, 1), max(size[1] // part, 1)),
                       interpolation=cv2.INTER_AREA)  # fmt: skip
    soft = cv2.GaussianBlur(small, (0, 0), sigma / part)
    return np.asarray(cv2.resize(soft, size, interpolation=cv2.INTER_LINEAR), np.float32)


def _sharp_steps(log: Field, weight: Field) -> Mask:
    """Places where brightness changes abruptly between what lies to the left and right of them,
    or above and below; lines and print in between are passed over."""
    found = np.zeros(log.shape, np.bool_)
    for axis in (0, 1):
        far, enough_far = _difference(log, weight, axis, _FAR)
        for span in _BESIDE:
            near, enough = _difference(log, weight, axis, span)
            size = np.abs(near)
            sharp = (size > _STEP) & (size > _SHARP * np.abs(far))
            found |= sharp & enough & enough_far
    edge = _FAR[1]  # beyond it there is nothing to compare with
    inner = np.zeros_like(found)
    inner[edge:-edge, edge:-edge] = found[edge:-edge, edge:-edge]
    return inner


def _difference(log: Field, weight: Field, axis: int, span: tuple[int, int]) -> tuple[Field, Mask]:
    """Mean ahead less mean behind, over the cells first to last of ``span`` away; and where
    a third of those cells, at least, was seen on both sides."""
    first, last = span
    count = last - first + 1
    ksize = (count, _WIDE) if axis == 1 else (_WIDE, count)
    box = [
        np.asarray(cv2.boxFilter(v, cv2.CV_32F, ksize, normalize=False))
        for v in (log * weight, weight)
    ]
    # box's window is centred on its cell (to the left of the middle if its width is even)
    ahead, behind = -(first + count // 2), first + (count - 1) // 2
    sums = [[np.roll(b, shift, axis) for b in box] for shift in (ahead, behind)]
    means = [total / np.maximum(seen, 1e-6) for total, seen in sums]
    enough = np.minimum(sums[0][1], sums[1][1]) >= 0.3 * count * _WIDE
    return np.asarray(means[0] - means[1], np.float32), np.asarray(enough, np.bool_)


def _grown(mask: Mask, by_mm: float) -> Mask:
    size = 2 * round(by_mm * CELLS_PER_MM) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.dilate(mask.view(np.uint8), disc), np.bool_)


def _followed(log: Field, gradual: Mask) -> Field:
    """The surface whose slopes are those of ``log`` where it is ``gradual``, and elsewhere those
    of its surroundings: least squares over all slopes, by cosine transforms."""
    across, down = np.zeros_like(log), np.zeros_like(log)
    across[:, :-1], down[:-1] = np.diff(log, axis=1), np.diff(log, axis=0)
    both = np.zeros_like(gradual)
    both[:-1, :-1] = gradual[:-1, :-1] & gradual[:-1, 1:] & gradual[1:, :-1]
    slopes = np.stack([across, down], axis=-1)
    slopes = np.where(both[..., None], slopes, _filled(slopes, both))
    slopes[:, -1, 0], slopes[-1, :, 1] = 0.0, 0.0
    source = slopes[..., 0] + slopes[..., 1]
    source[:, 1:] -= slopes[:, :-1, 0]
    source[1:] -= slopes[:-1, :, 1]
    turned = dctn(source, norm="ortho")
    rows, columns = log.shape
    bend = (2.0 * np.cos(np.pi * np.arange(rows) / rows) - 2.0)[:, None]
    bend = bend + (2.0 * np.cos(np.pi * np.arange(columns) / columns) - 2.0)
    bend[0, 0] = 1.0  # the mean is free
    turned = turned / bend
    turned[0, 0] = 0.0
    return np.asarray(idctn(turned, norm="ortho"), np.float32)


def blank_cells(clear: Mask, frames: Sequence[Box]) -> Mask:
    """Clear cells outside the answer frames and away from the page's edges."""
    outside = clear.copy()
    edge = round(_OUTSIDE_MM * CELLS_PER_MM)
    outside[:edge] = outside[-edge:] = False
    outside[:, :edge] = outside[:, -edge:] = False
    for box in frames:
        x0, y0, x1, y1 = (round(v * CELLS_PER_MM) for v in box)
        outside[y0:y1, x0:x1] = False
    return outside


def _blank(left: Field, clear: Mask, frames: Sequence[Box]) -> float:
    """What blank paper leaves: the middle of what lies outside the answer frames."""
    outside = blank_cells(clear, frames)
    at = outside if outside.sum() > ENOUGH else clear
    return float(np.median(left[at])) if at.any() else 0.0


def _tones(left: Field) -> Mask:
    """Areas darker than their light that end sharply all round, or nearly: light leaves none.

    A tone may lie in a wide dim patch that the light did not follow down, so several depths are
    tried.
    """
    toned = np.zeros(left.shape, np.bool_)
    for level in _LEVELS:
        toned |= _outlined(left, level)
    return toned


def _outlined(left: Field, level: float) -> Mask:
    """The areas darker than their light by more than ``level`` that end sharply all round."""
    size = 2 * round(_PATCH_MM * CELLS_PER_MM) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    low = cv2.morphologyEx((left < -level).astype(np.uint8), cv2.MORPH_OPEN, disc)
    count, labels = cv2.connectedComponents(low, connectivity=8)
    toned = np.zeros(left.shape, np.bool_)
    if count == 1:
        return toned
    step = _step_across(left, np.asarray(low, np.bool_))
    inner = cv2.erode(low, np.ones((3, 3), np.uint8))
    outline = (np.asarray(low) > 0) & (np.asarray(inner) == 0)
    for k in range(1, count):
        area = labels == k
        depth = -float(np.median(left[area]))
        if float((step[area & outline] > _STEEP * depth).mean()) > _OUTLINED:
            toned |= area
    return toned


def _even(toned: Mask, grainy: Mask) -> Mask:
    """The toned areas that are mostly without grain."""
    count, labels = cv2.connectedComponents(toned.view(np.uint8), connectivity=8)
    area = np.bincount(labels.ravel(), minlength=count)
    rough = np.bincount(labels.ravel(), weights=grainy.ravel(), minlength=count)
    even = rough < _GRAINY * area
    even[0] = False
    return np.asarray(even[labels], np.bool_)


def _step_across(left: Field, low: Mask) -> Field:
    """How much darker a place's surroundings are inside ``low``, a little way from its outline,
    than outside."""
    near, far = (CELLS_PER_MM * v for v in _RING_MM)
    means = []
    for side in (~low, low):
        deep = np.asarray(cv2.distanceTransform(side.view(np.uint8), cv2.DIST_L2, 3))
        ring = ((deep > near) & (deep < far)).astype(np.float32)
        total, count = (
            cv2.blur(v, (_RING_WIDE, _RING_WIDE)) for v in (np.asarray(left * ring), ring)
        )
        means.append(np.asarray(total) / np.maximum(np.asarray(count), 1e-6))
    return np.asarray(means[0] - means[1], np.float32)
