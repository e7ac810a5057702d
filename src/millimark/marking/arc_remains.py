"""What remains of a construction arc beyond a line that cuts it off. Paper millimetres.

Where an arc crosses the pupil's line just as that bends, its last millimetres are a stroke of their
own that ends on the line, and might be its end.
"""

from __future__ import annotations

import math
from collections.abc import Set

import numpy as np

from millimark.marking.ink import Ink
from millimark.marking.through import circle_through

_ARC_MM, _REST_MM = 6.0, 5.0
"""An arc longer than the first, mm, says where its circle is; its rest is shorter than the
second."""
_GAP_MM, _ON_MM, _MOSTLY = 3.5, 0.35, 0.5
"""It begins no further from the arc's end than the first, mm, and so large a share of it, its far
end with it, lies this near to the arc's circle, mm."""


def remains_of(ink: Ink, construction: Set[int]) -> frozenset[int]:
    """The short pieces that carry a piece of ``construction`` on."""
    short = [k for k, p in enumerate(ink.pieces) if p.length < _REST_MM and k not in construction]
    found = set[int]()
    for arc in construction:
        if ink.lengths[arc] < _ARC_MM or not short:
            continue
        xy = ink.pieces[arc].xy
        centre, radius, rms = circle_through(xy)
        if rms > _ON_MM / 2.0:
            continue
        for k in short:
            rest = ink.pieces[k].xy
            gaps = [[math.dist(end, tip) for end in xy[[0, -1]]] for tip in rest[[0, -1]]]
            far = rest[-1] if min(gaps[0]) < min(gaps[1]) else rest[0]
            on = np.abs(np.hypot(*(rest - centre).T) - radius) < _ON_MM
            on_far = abs(math.dist(far, centre) - radius) < _ON_MM
            if min(map(min, gaps)) < _GAP_MM and on_far and on.mean() > _MOSTLY:
                found.add(k)
    return frozenset(found)
