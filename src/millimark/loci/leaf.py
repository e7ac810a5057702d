"""One comparison, ready to be looked up at many points."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from millimark.loci.conditions import Locus
from millimark.loci.offsets import Traces
from millimark.loci.sites import Field
from millimark.plane.curves import Curve
from millimark.plane.point import Point

Window = Sequence[Point] | None
"""Corners of a convex shape that holds all that matters; None for the whole plane."""


class Leaf:
    """A comparison: its value (cm), border curves, single border points, and the locus to draw.

    ``value(x, y)`` is positive where it holds, negative where it does not, near zero on the
    border, where ``closed`` decides. The border is worked out when first asked for: looking
    points up does not need it. ``locus`` is None where the border is printed already; of a border
    that is printed in part ``printed`` are those curves.
    ``crosses`` says that the border curves may cross one another. ``extent`` are corners of a
    convex shape outside which the comparison never holds, if there is one; ``window`` such
    corners for the whole condition: the border may be left out where it lies outside.
    """

    __slots__ = (
        "_border", "_traces", "closed", "crosses", "extent", "locus", "printed", "value", "window",
    )  # fmt: skip

    def __init__(
        self,
        value: Field,
        closed: bool,
        border: Callable[[Window], Traces],
        locus: Locus | None = None,
        crosses: bool = False,
        extent: Window = None,
        printed: Sequence[Curve] = (),
    ) -> None:
        self.value = value
        self.closed = closed
        self.locus = locus
        self.crosses = crosses
        self.extent = extent
        self.printed = printed
        self.window: Window = None
        self._border = border
        self._traces: Traces | None = None

    @property
    def traces(self) -> Traces:
        """The border: curves across which the truth can change, and single points."""
        if self._traces is None:
            self._traces = self._border(self.window)
        return self._traces

    @property
    def curves(self) -> Sequence[Curve]:
        """The border's curves."""
        return self.traces.curves

    @property
    def points(self) -> Sequence[Point]:
        """The border's single points."""
        return self.traces.points
