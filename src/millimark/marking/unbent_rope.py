"""A rope drawn as if it went through the wall: one circle about its anchor, corners and all."""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np
from scipy.spatial import cKDTree

from millimark.loci.conditions import RopeEnd
from millimark.marking.expected import Expected, Wanted, clipped_samples
from millimark.marking.findings import Fault
from millimark.marking.ink import Ink
from millimark.marking.mistake_words import MISTAKES
from millimark.plane.curves import Arc

_STEP_MM = 1.0
_BESIDE_MM, _APART_MM = 1.2, 4.0
"""Pencil this near to the circle is on it, where the right arcs are at least so far away, mm."""
_ALONG = math.cos(math.radians(15.0))
"""Pencil that runs along the circle, as hatching that crosses it does not."""
_LEAST_MM, _SHARE = 10.0, 0.7
"""How much of the circle has to lie apart from the right arcs, mm, and to be drawn, a share."""


def unbent_rope(
    wanted: Wanted, ink: Ink, hatching: Collection[int], expect: Expected
) -> Fault | None:
    """The circle about the anchor drawn on past where the rope bends; None where it is not.
    ``hatching``: the pieces that are shading."""
    locus = wanted.element.locus
    arcs = [c for c in wanted.curves if isinstance(c, Arc)]
    if not isinstance(locus, RopeEnd) or len(arcs) < 2 or not ink.pieces:
        return None
    anchor = expect.points[locus.anchor.label]
    free = min(arcs, key=lambda arc: arc.centre.distance(anchor))
    circle = clipped_samples(Arc(free.centre, free.radius), expect.frame, _STEP_MM)
    right = np.concatenate([clipped_samples(c, expect.frame, _STEP_MM) for c in wanted.curves])
    apart = cKDTree(right).query(circle)[0]
    only = circle[apart > _APART_MM]
    if len(only) * _STEP_MM < _LEAST_MM:
        return None
    off = ink.xy - np.array(free.centre)
    out = np.hypot(*off.T)
    turn = np.abs(off[:, 0] * ink.tangent[:, 1] - off[:, 1] * ink.tangent[:, 0])
    ruled = np.repeat([k not in hatching for k in range(len(ink.pieces))], np.diff(ink.first))
    drawn = ink.xy[ruled & (np.abs(out - free.radius) < _BESIDE_MM) & (turn > _ALONG * out)]
    if not len(drawn):
        return None
    share = float((cKDTree(drawn).query(only)[0] < 2.0 * _BESIDE_MM).mean())
    if share < _SHARE:
        return None
    text = MISTAKES["rope-through"].text
    return Fault("rope-through", text, float(apart.max()), share, wanted.name)
