"""One comparison, ready to be looked up at many points."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.loci.conditions import Locus
from millimark.loci.sites import Field
from millimark.plane.curves import Curve
from millimark.plane.point import Point


class Leaf:
    """A comparison: its value (cm), border curves, single border points, and the locus to draw.

    ``value(x, y)`` is positive where it holds, negative where it does not, near zero on the
    border, where ``closed`` decides. ``locus`` is None where the border is printed already.
    ``crosses`` says that the border curves may cross one another.
    """

    __slots__ = ("closed", "crosses", "curves", "locus", "points", "value")

    def __init__(
        self,
        value: Field,
        closed: bool,
        curves: Sequence[Curve],
        points: Sequence[Point] = (),
        locus: Locus | None = None,
        crosses: bool = False,
    ) -> None:
        self.value = value
        self.closed = closed
        self.curves = curves
        self.points = points
        self.locus = locus
        self.crosses = crosses
