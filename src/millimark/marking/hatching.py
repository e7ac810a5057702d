"""Whether pencil runs as the hatching about it does. Paper millimetres."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from millimark.marking.coverage import FreePencil
from millimark.marking.ink import Array

_ABOUT_MM, _AS_STROKE, _SHARE, _FEW = 8.0, math.sin(math.radians(8.0)), 0.25, 20
"""So much of the pencil within the first, of so many points at least, turns from a stroke of
hatching by less than the second."""
_BESIDE_MM, _ALONG = 1.4, math.cos(math.radians(15.0))
"""A stroke no further off than the first, turned by less than the second, runs along a line."""


class Hatching:
    """The free pencil about a line: most of it is hatching where there is any, told or not."""

    def __init__(self, free: FreePencil | None) -> None:
        self._tree = free.tree if free is not None and len(free.xy) else None
        self._tangent = np.zeros((0, 2)) if free is None else free.tangent

    def runs_as(self, xy: Array, way: Array) -> NDArray[np.bool_]:
        """Which points (N, 2) with unit directions ``way`` run as much of the pencil about them."""
        found = np.zeros(len(xy), dtype=bool)
        if self._tree is None:
            return found
        for i, near in enumerate(self._tree.query_ball_point(xy, _ABOUT_MM)):
            if len(near) >= _FEW:
                across = np.array([-way[i, 1], way[i, 0]])
                found[i] = (
                    float(np.mean(np.abs(self._tangent[near] @ across) < _AS_STROKE)) > _SHARE
                )
        return found

    def accompanies(self, xy: Array, way: Array) -> NDArray[np.bool_]:
        """Which points (N, 2) with unit directions ``way`` have a stroke of hatching along them."""
        found = np.zeros(len(xy), dtype=bool)
        if self._tree is None:
            return found
        for i, near in enumerate(self._tree.query_ball_point(xy, _BESIDE_MM)):
            found[i] = bool((np.abs(self._tangent[near] @ way[i]) > _ALONG).any())
        return found & self.runs_as(xy, way) if found.any() else found
