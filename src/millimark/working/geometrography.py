"""How simple and how exact a construction is, by Lemoine's geometrography (1892-1902).

R1: the ruler's edge is put on a point. R2: a line is ruled. C1: a leg of the compasses is put
on a point. C2: a leg is put somewhere on a line. C3: a circle is drawn. The simplicity is the
number of all operations, the exactitude that of the preparations R1, C1 and C2 (the fewer,
the more exact). Whole circles are thought of, as Lemoine does: arcs about one point with one
opening are one circle, wherever in the order they come. An opening that is free costs
nothing; a length from the ruler costs its two ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from millimark.working.acts import (
    Act,
    AlignProtractor,
    Anywhere,
    MarkPoint,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)


@dataclass(frozen=True)
class Count:
    """How often each operation is done; ``others`` counts protractor and measuring acts,
    for which geometrography has no symbol."""

    r1: int = 0
    r2: int = 0
    c1: int = 0
    c2: int = 0
    c3: int = 0
    others: int = 0

    @property
    def simplicity(self) -> int:
        return self.r1 + self.r2 + self.c1 + self.c2 + self.c3

    @property
    def exactitude(self) -> int:
        return self.r1 + self.c1 + self.c2

    def __str__(self) -> str:
        parts = (
            (self.r1, "R1"),
            (self.r2, "R2"),
            (self.c1, "C1"),
            (self.c2, "C2"),
            (self.c3, "C3"),
        )
        shown = [f"{n} {name}" if n > 1 else name for n, name in parts if n]
        return " + ".join(shown) or "nothing"


def count(acts: Sequence[Act]) -> Count:
    """The operations of a list of acts."""
    r1 = r2 = c1 = c2 = c3 = others = 0
    on: tuple[str, ...] = ()  # where the legs were put when the compasses were last set
    circles: set[tuple[str, float]] = set()
    for act in acts:
        if isinstance(act, SetCompasses):
            c1 += 0 if act.free else 2
            on = act.between or ()
        elif isinstance(act, StrikeArc):
            circle = (act.centre, round(act.arc.radius, 7))
            if circle not in circles:
                circles.add(circle)
                c1 += 0 if act.centre in on else 1
                c3 += 1
            on = ()
        elif isinstance(act, RuleLine):
            r1, r2 = r1 + 2, r2 + 1
        elif isinstance(act, AlignProtractor) or (
            isinstance(act, MarkPoint) and isinstance(act.how, Step)
        ):
            others += 1
        elif isinstance(act, MarkPoint) and isinstance(act.how, Anywhere) and act.how.aside == 0:
            c2 += 1
    return Count(r1, r2, c1, c2, c3, others)
