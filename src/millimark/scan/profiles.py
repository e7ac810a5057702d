"""The line measured across itself: centre without bias, width, darkness, uncertainty.

The centre is the centroid of the darkness between two feet, with a straight ground drawn
from foot to foot. For a line that is symmetric across (flat-topped, round or grainy) it is
unbiased at any width and blur, and an uneven ground (shadow, smudge, a neighbour's skirt)
is taken away with it. Frame pixels in, frame pixels out.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Dark = NDArray[np.float32]
Grey = NDArray[np.uint8]
Mask = NDArray[np.bool_]

_REACH_MM = 0.8
"""Half length of the profile: half of 0.9 mm, 0.2 mm of blur, and the foot."""
_STEP_MM = 0.05
_ROWS_MM = (-0.07, 0.07)
"""Profiles this far ahead and behind are averaged: grain is finer than the step of points."""
_FOOT_MM = 0.16
"""Width of the foot on which the ground rests."""


@dataclass(frozen=True, eq=False)
class Measured:
    """Across each point: ``shift`` (N,) px along the normal to the centre, ``width`` (N,) px,
    ``darkness`` (N,), ``whole`` (N,) bool: whether the profile could be seen and is one line."""

    shift: Array
    width: Array
    darkness: Array
    whole: Mask


def measured(
    xy: Array,
    normal: Array,
    half_mm: Array,
    pencil: Dark,
    unseen: Grey,
    px_per_mm: float,
    rounds: int = 2,
) -> Measured:
    """Profiles at ``xy`` (N, 2) px; ``half_mm`` (N,) is half the width expected there.

    ``unseen`` is 1 where print hides; each of the ``rounds`` centres the profile anew.
    Nothing darker than its ground: width 0, not whole.
    """
    offsets = np.arange(-_REACH_MM, _REACH_MM + 1e-9, _STEP_MM, dtype=np.float32)
    shift = np.zeros(len(xy))
    for _ in range(rounds):
        profile, hidden = _profiles(
            xy + shift[:, None] * normal, normal, offsets, pencil, unseen, px_per_mm
        )
        lobe, whole = _lobe(profile, hidden, offsets, half_mm)
        mass = lobe.sum(axis=1)
        safe = np.where(mass > 1e-6, mass, 1.0)
        move = lobe @ offsets / safe
        shift = shift + np.where(mass > 1e-6, np.clip(move, -0.3, 0.3), 0.0) * px_per_mm
    peak = np.partition(lobe, -4, axis=1)[:, -4:].mean(axis=1).astype(np.float64)
    width = mass * _STEP_MM / np.where(peak > 1e-6, peak, 1.0)
    even = np.abs(move) < 0.08
    return Measured(shift, width * px_per_mm, peak, whole & even & (mass > 1e-6))


def _profiles(
    xy: Array, normal: Array, offsets: Dark, pencil: Dark, unseen: Grey, px_per_mm: float
) -> tuple[Dark, Dark]:
    """Darkness (N, S) along the normals, averaged over the rows, and the share hidden."""
    tangent = np.column_stack((-normal[:, 1], normal[:, 0]))
    rows = np.repeat(np.array(_ROWS_MM) * px_per_mm, len(offsets))
    across = np.tile(offsets * px_per_mm, len(_ROWS_MM))
    steps = np.stack((np.ones_like(rows), rows, across)).astype(np.float32)
    x, y = (
        np.column_stack((xy[:, k], tangent[:, k], normal[:, k])).astype(np.float32) @ steps
        for k in (0, 1)
    )
    dark = np.asarray(cv2.remap(pencil, x, y, cv2.INTER_LINEAR, borderValue=0.0), np.float32)
    hidden = cv2.remap(unseen, x, y, cv2.INTER_NEAREST, borderValue=1.0)
    seen = np.equal(hidden, 0).astype(np.float32)
    ahead, behind = slice(len(offsets), None), slice(0, len(offsets))
    dark *= seen
    total: Dark = dark[:, behind] + dark[:, ahead]
    count: Dark = seen[:, behind] + seen[:, ahead]
    mean = np.asarray(total / np.maximum(count, 1.0), np.float32)
    return mean, np.asarray(1.0 - count / len(_ROWS_MM), np.float32)


def _lobe(profile: Dark, hidden: Dark, offsets: Dark, half_mm: Array) -> tuple[Dark, Mask]:
    """The line's own darkness (N, S), and whether it stands alone."""
    reach = np.clip(half_mm + 0.20, 0.3, _REACH_MM - _FOOT_MM).astype(np.float32)[:, None]
    inside = np.abs(offsets) <= reach
    foot = np.float32(_FOOT_MM)
    left = (offsets >= -reach - foot) & (offsets < -reach)
    right = (offsets <= reach + foot) & (offsets > reach)
    clear = hidden < 0.5
    foot_left, n_left = _mean(profile, left & clear)
    foot_right, n_right = _mean(profile, right & clear)
    foot_left = np.where(n_left > 0, foot_left, foot_right)
    foot_right = np.where(n_right > 0, foot_right, foot_left)
    share = (offsets / reach + 1.0) / 2.0
    ground = foot_left[:, None] + share * (foot_right - foot_left)[:, None]
    lobe = np.where(inside, np.maximum(profile - ground, 0.0), np.float32(0.0))
    top = lobe.max(axis=1)
    feet = np.maximum(foot_left, foot_right)
    whole = ((hidden * inside).sum(axis=1) < 1.0) & (feet < 0.35 * (top + 1e-9)) & (top > 0.02)
    return lobe, whole


def _mean(values: Dark, mask: Mask) -> tuple[Dark, Dark]:
    count = mask.sum(axis=1, dtype=np.float32)
    return (values * mask).sum(axis=1) / np.maximum(count, 1.0), count
