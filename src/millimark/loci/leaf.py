"""One comparison, ready to be looked up at many points."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from millimark.loci.conditions import Locus
from millimark.loci.offsets import Traces
from millimark.loci.sites import Field
from millimark.plane.curves import Curve
from millimark.plane.point import Point


class Leaf:
    """A comparison: its value (cm), border curves, single border points, and the locus to draw.

    ``value(x, y)`` is positive where it holds, negative where it does not, near zero on the
    border, where ``closed`` decides. The border is worked out when first asked for: looking
    points up does not need it. ``locus`` is None where the border is printed already.
    ``crosses`` says that the border curves may cross one another.
    """

    __slots__ = ("_border", "_traces", "closed", "crosses", "locus", "value")

    def __init__(
        self,
        value: Field,
        closed: bool,
        border: Callable[[], Traces],
        locus: Locus | None = None,
        crosses: bool = False,
    ) -> None:
        self.value = value
        self.closed = closed
        self.locus = locus
        self.crosses = crosses
        self._border = border
        self._traces: Traces | None = None

    @property
    def traces(self) -> Traces:
        """The border: curves across which the truth can change, and single points."""
        if self._traces is None:
            self._traces = self._border()
        return self._traces

    @property
    def curves(self) -> Sequence[Curve]:
        """The border's curves."""
        return self.traces.curves

    @property
    def points(self) -> Sequence[Point]:
        """The border's single points."""
        return self.traces.points
