"""Crossings that are too flat to be seen well, and what would help."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from millimark.plane.curves import Arc, Segment
from millimark.working.acts import Act, Crossing, MarkPoint, RuleLine, StrikeArc

FLAT = 30.0
"""Degrees: two lines that cross at less than this hide their crossing; common practice,
no source."""


def flat_crossings(acts: Sequence[Act]) -> Iterator[str]:
    """A note for each crossing of drawn ink under 30°, with what would help; none for the
    crossings with print."""
    inks: dict[str, Arc | Segment] = {}
    for act in acts:
        if isinstance(act, StrikeArc):
            inks[act.name] = act.arc
        elif isinstance(act, RuleLine):
            inks[act.name] = act.segment
        elif isinstance(act, MarkPoint) and isinstance(act.how, Crossing):
            one, two = (inks.get(i) if isinstance(i, str) else None
                        for i in (act.how.first, act.how.second))  # fmt: skip
            if one is None or two is None:
                continue
            angle = crossing_angle(one, two, act)
            if angle < FLAT:
                yield (
                    f"Two lines cross at only {angle:.0f}°, so that the crossing is hard to see: "
                    "a larger figure or more room would help."
                )


def crossing_angle(one: Arc | Segment, two: Arc | Segment, mark: MarkPoint) -> float:
    """The acute angle in degrees at which two inks cross at a mark."""
    u, v = (ink.direction_at(ink.nearest(mark.at)) for ink in (one, two))
    return math.degrees(math.asin(min(1.0, abs(u.cross(v)))))
