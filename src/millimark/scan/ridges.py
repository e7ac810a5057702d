"""Ridge points of the pencil: where darkness is greatest across a line, below the pixel.

After Steger, 'An unbiased detector of curvilinear structures', IEEE PAMI 20 (1998): the
image is smoothed, its Hessian's steepest direction is the line's normal, and the second-
order Taylor polynomial along it places the ridge. These points find and link lines; their
final centres come from `profiles`, which has no bias from a line's width or from its flat
top. Frame pixels, (x, y), centres at integers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]
Index = NDArray[np.int64]

SMOOTHING_MM = 0.25
"""Steger asks for at least half the line's width over sqrt 3: enough for 0.85 mm."""
FAINTEST = 0.035
"""Smoothed darkness below which nothing is looked at."""
_LEAST_SHARE = np.uint8(90)
"""Of 255: where less than this can be seen of a place's surroundings, its darkness is not scaled up
further."""


@dataclass(frozen=True, eq=False)
class RidgePoints:
    """``xy`` (N, 2) px; ``normal`` (N, 2) unit; ``height`` (N,) smoothed darkness;
    ``pixel`` (N,) flat index of each point's pixel in an image of ``shape``; ``index`` for each
    pixel of the image, flat, which point it holds, -1 where there is none."""

    xy: Array
    normal: Array
    height: Array
    pixel: Index
    index: NDArray[np.int32]
    shape: tuple[int, int]

    def __len__(self) -> int:
        return len(self.pixel)


def smoothed(pencil: Dark, unseen: Mask, px_per_mm: float) -> Dark:
    """Gaussian mean of the darkness over what can be seen."""
    sigma = SMOOTHING_MM * px_per_mm
    plain = np.asarray(cv2.GaussianBlur(pencil, (0, 0), sigma), dtype=np.float32)
    left, top, width, height = cv2.boundingRect(unseen.view(np.uint8))
    if not width:
        return plain
    reach = math.ceil(4.0 * sigma)
    part = (
        slice(max(0, top - reach), top + height + reach),
        slice(max(0, left - reach), left + width + reach),
    )
    seen = cv2.threshold(unseen.view(np.uint8)[part], 0.0, 255.0, cv2.THRESH_BINARY_INV)[1]
    share = np.asarray(cv2.GaussianBlur(seen, (0, 0), sigma), dtype=np.uint8)
    np.maximum(share, _LEAST_SHARE, out=share)
    cv2.divide(plain[part], share, dst=plain[part], scale=255.0, dtype=cv2.CV_32F)
    return plain


def ridge_points(level: Dark, unseen: Mask, px_per_mm: float) -> RidgePoints:
    """Every pixel through which a ridge of the smoothed darkness passes. The points' index is
    written over ``level``: fresh memory takes longer than all the rest."""
    rows, columns = level.shape
    flat = level.ravel()
    inner = (level > FAINTEST) & ~unseen
    inner[:2], inner[-2:], inner[:, :2], inner[:, -2:] = False, False, False, False
    at = np.flatnonzero(inner)
    at = at[_tops(flat, at, columns)]
    gx, gy, gxx, gxy, gyy = _slopes(flat, at, columns)
    nx, ny, curve = _normals(gxx, gxy, gyy)
    t = -(gx * nx + gy * ny) / np.where(curve < -1e-9, curve, -1.0)
    dx, dy = t * nx, t * ny
    height = flat[at].astype(np.float64)
    keep = (curve < -0.06 * height / (SMOOTHING_MM * px_per_mm) ** 2) & (
        np.maximum(np.abs(dx), np.abs(dy)) <= 0.6
    )
    at, dx, dy = at[keep], dx[keep], dy[keep]
    xy = np.column_stack((at % columns + dx, at // columns + dy))
    points = RidgePoints(
        xy,
        np.column_stack((nx[keep], ny[keep])),
        height[keep],
        at,
        _index(at, flat.view(np.int32)),
        (rows, columns),
    )
    return _only(points, _nearest_to_ridge(points, np.hypot(dx, dy)))


def _index(pixel: Index, index: NDArray[np.int32]) -> NDArray[np.int32]:
    """``index``, for each pixel, filled with which of the points at ``pixel`` it holds, or -1."""
    index.fill(-1)
    index[pixel] = np.arange(len(pixel), dtype=np.int32)
    return index


def _only(points: RidgePoints, keep: Mask) -> RidgePoints:
    """Those points that are kept; they take the others' ``index``, which is large."""
    pixel = points.pixel[keep]
    points.index[points.pixel] = -1
    points.index[pixel] = np.arange(len(pixel), dtype=np.int32)
    return RidgePoints(
        points.xy[keep],
        points.normal[keep],
        points.height[keep],
        pixel,
        points.index,
        points.shape,
    )


def _nearest_to_ridge(points: RidgePoints, offset: Array) -> Mask:
    """False for a point whose neighbour across the ridge marks the same ridge, and nearer.

    ``offset`` (N,) px is how far each point lies from its pixel's centre. A ridge between two
    rows of pixels is seen from both; what links points must see it once.
    """
    columns = points.shape[1]
    index, offsets = points.index, np.append(offset, np.inf)
    angle = np.arctan2(points.normal[:, 1], points.normal[:, 0])
    octant = np.rint(angle / (np.pi / 4)).astype(np.int64)
    step = np.rint(np.sin(octant * np.pi / 4) * 0.9).astype(np.int64) * columns
    step += np.rint(np.cos(octant * np.pi / 4) * 0.9).astype(np.int64)
    before, after = (offsets[index[points.pixel + sense * step]] for sense in (-1, 1))
    nearest: Mask = (offset < before) & (offset <= after)
    return nearest


def _tops(flat: Dark, at: Index, columns: int) -> Mask:
    """Whether a pixel is a maximum along its row, its column or a diagonal."""
    here = flat[at]
    top = np.zeros(len(at), dtype=np.bool_)
    for step in (1, columns):
        top |= (here >= flat[at - step]) & (here >= flat[at + step])
    return top


def _slopes(flat: Dark, at: Index, columns: int) -> tuple[Array, Array, Array, Array, Array]:
    """First and second differences of the smoothed darkness at the pixels ``at``."""
    c = columns

    def of(step: int) -> Array:
        return flat[at + step].astype(np.float64)

    here, left, right, up, down = of(0), of(-1), of(1), of(-c), of(c)
    gx, gy = (right - left) / 2, (down - up) / 2
    gxx, gyy = right - 2 * here + left, down - 2 * here + up
    gxy = (of(c + 1) - of(c - 1) - of(-c + 1) + of(-c - 1)) / 4
    return gx, gy, gxx, gxy, gyy


def _normals(gxx: Array, gxy: Array, gyy: Array) -> tuple[Array, Array, Array]:
    """Unit eigenvector of the Hessian's most negative eigenvalue, and that eigenvalue."""
    mean, half = (gxx + gyy) / 2, (gxx - gyy) / 2
    root = np.hypot(half, gxy)
    angle = 0.5 * np.arctan2(2 * gxy, gxx - gyy) + np.pi / 2
    return np.cos(angle), np.sin(angle), mean - root
