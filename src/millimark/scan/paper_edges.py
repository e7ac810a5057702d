"""The print scale of a photograph from the paper's own edges.

Paper comes in known sizes; where a photograph shows all four edges of the sheet on a darker
or lighter ground, the page map says how many page millimetres lie between them.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.scan.fitting import LineFit, fit_line
from millimark.scan.mapping import PageFit

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]

# ISO 216 (A4, A3) and the North American letter size, mm: sheets as they are bought.
SHEETS = ((210.0, 297.0), (297.0, 420.0), (215.9, 279.4))
SIGMA = 0.003
"""Standard uncertainty of the scale: ISO 216 lets a sheet be 2 mm out in 300 (quoted from
memory), in practice a third of that; the edge's own shadow adds 0.2 mm."""
PLAUSIBLE = (0.85, 1.15)
"""Print scales outside this are not believed (the rule of marks.json's ``print_scale``)."""
_AGREE = 0.008
"""How far the scales along and across may differ: a printer's two directions do by 0.5 %."""
_INSIDE, _OUTSIDE = 4.0, 40.0
"""mm from the page's nominal edge: nothing is printed in the first, the paper may end within the
second (a page printed at 85 % leaves 26 mm more at each end)."""
_STEP = 0.25
_SAMPLES = 48
_LEAST_STEP = 0.10
"""Share of the paper's brightness by which the ground must differ."""
_LEAST_SHARE = 0.6
_MOST_RMS = 0.5


def scale_from_edges(grey: Grey, fit: PageFit) -> float | None:
    """Paper mm per page mm; None where the four edges of a known sheet cannot all be seen."""
    width, height = fit.model.family.setting.width, fit.model.family.setting.height
    extents = []
    for axis, length, other in ((0, width, height), (1, height, width)):
        near = _edge(grey, fit, axis, 0.0, -1.0, other)
        far = _edge(grey, fit, axis, length, 1.0, other)
        if near is None or far is None:
            return None
        extents.append(far - near)
    return _scale(extents[0], extents[1])


def _scale(across: float, down: float) -> float | None:
    """The plausible scale at which a known sheet measures ``across`` by ``down`` page mm.
    A3 has A4's shape, so shape alone does not tell."""
    found = []
    for sheet in SHEETS:
        for w, h in (sheet, sheet[::-1]):
            sx, sy = w / across, h / down
            plausible = PLAUSIBLE[0] <= math.sqrt(sx * sy) <= PLAUSIBLE[1]
            if plausible and abs(sx / sy - 1.0) < _AGREE:
                found.append((abs(sx / sy - 1.0), math.sqrt(sx * sy)))
    return min(found)[1] if found else None


def _edge(
    grey: Grey, fit: PageFit, axis: int, nominal: float, outward: float, other: float
) -> float | None:
    """Where the paper ends, page mm along ``axis``, midway along that edge; None if unseen."""
    along = np.linspace(0.06, 0.94, _SAMPLES) * other
    offsets = np.arange(-_INSIDE, _OUTSIDE, _STEP)
    across = nominal + outward * offsets
    grid = np.empty((_SAMPLES, len(offsets), 2))
    grid[..., axis], grid[..., 1 - axis] = across[None, :], along[:, None]
    px = fit.model.px(grid.reshape(-1, 2)).reshape(grid.shape).astype(np.float32)
    rows, columns = grey.shape
    inside = (px >= 1.0).all(axis=2) & (px[..., 0] < columns - 2) & (px[..., 1] < rows - 2)
    value = cv2.remap(grey, px[..., 0], px[..., 1], cv2.INTER_LINEAR)
    place, good = _steps(np.asarray(value, dtype=np.float64), inside)
    if good.mean() < _LEAST_SHARE:
        return None
    points = np.column_stack((along[good], (nominal + outward * place)[good]))
    line = fit_line(points, 0.2)
    if not isinstance(line, LineFit) or line.inliers.sum() < _LEAST_SHARE * _SAMPLES:
        return None
    if line.rms > _MOST_RMS or abs(line.direction.x) < 0.99:
        return None
    return line.point.y + (other / 2 - line.point.x) * line.direction.y / line.direction.x


def _steps(value: Array, inside: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
    """Per row the offset (mm) of the first great step from the paper's brightness, and whether
    there is one. The step's place is where half of it is done."""
    count = round(2.5 / _STEP)
    paper = np.median(value[:, :count], axis=1, keepdims=True)
    window = 4
    kernel = np.ones(window) / window
    smooth = np.apply_along_axis(lambda v: np.convolve(v, kernel, mode="valid"), 1, value)
    change = np.abs(smooth - paper) / np.maximum(paper, 1.0)
    seen = inside[:, window - 1 :]
    beyond = (change > _LEAST_STEP) & seen
    first = beyond.argmax(axis=1)
    good = beyond.any(axis=1) & (first > 2)
    rows = np.arange(len(value))
    later = np.minimum(first + round(1.5 / _STEP), smooth.shape[1] - 1)
    half = 0.5 * change[rows, later]
    good &= half > 0.5 * _LEAST_STEP
    index = np.empty(len(value))
    for k in rows:  # one short search per sample
        run = change[k, max(first[k] - 8, 0) : later[k] + 1]
        at = int((run > half[k]).argmax())
        low = run[at - 1] if at else 0.0
        share = (half[k] - low) / max(run[at] - low, 1e-9) if at else 0.0
        index[k] = max(first[k] - 8, 0) + at - 1 + share
    return -_INSIDE + (index + (window - 1) / 2) * _STEP, good
