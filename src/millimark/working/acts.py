"""The acts of a working: what a hand does with real instruments, one value each.

Figure centimetres, y up, radians anticlockwise. An act that leaves pencil on the paper
has ``ink``: bounded curves with a role.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point

Role = Literal["construction", "answer"]


@dataclass(frozen=True)
class PrintedLine:
    """The printed line through two labels of the figure (a side, an arm, a line)."""

    a: str
    b: str


@dataclass(frozen=True)
class PrintedCircle:
    """A printed circle, by its centre and radius."""

    centre: Point
    radius: float


Ink = str | PrintedLine | PrintedCircle
"""What can be crossed: ink of an earlier act by its ``name``, or a printed line or circle."""


@dataclass(frozen=True)
class Crossing:
    """Where two inks cross.

    Two arcs: ``side`` +1 is the crossing on the left of the way from the first centre to
    the second, -1 the one on its right. A line and an arc: +1 is the later crossing along
    the line, -1 the earlier. Two lines: 0.
    """

    first: Ink
    second: Ink
    side: int = 0


@dataclass(frozen=True)
class Step:
    """``length`` cm measured with the ruler from ``start`` towards ``towards`` (< 0: away)."""

    start: str
    towards: str
    length: float


@dataclass(frozen=True)
class Anywhere:
    """A free place: ``share`` of the way from ``a`` to ``b`` along the line through them,
    then ``aside`` cm to its left. Any place serves; the construction must not depend on it."""

    a: str
    b: str
    share: float
    aside: float = 0.0


@dataclass(frozen=True)
class North:
    """``distance`` cm straight up the page from ``of``: along a north line."""

    of: str
    distance: float


Fix = Crossing | Step | Anywhere | North


@dataclass(frozen=True)
class SetCompasses:
    """Open the compasses to ``radius`` cm: a length on the ruler, or between two points.

    ``free``: any opening in a range would serve; this one was chosen.
    """

    radius: float
    between: tuple[str, str] | None
    caption: str
    free: bool = False


@dataclass(frozen=True)
class StrikeArc:
    """Put the needle on the point ``centre`` and draw ``arc``; ``name`` names its ink."""

    centre: str
    arc: Arc
    role: Role
    caption: str
    name: str = ""

    @property
    def ink(self) -> tuple[Curve, ...]:
        return (self.arc,)


@dataclass(frozen=True)
class RuleLine:
    """Lay the ruler through two points and rule ``segment`` (which may run past them)."""

    through: tuple[str, str]
    segment: Segment
    role: Role
    caption: str
    name: str = ""

    @property
    def ink(self) -> tuple[Curve, ...]:
        return (self.segment,)


@dataclass(frozen=True)
class MarkPoint:
    """A point that earlier acts fix, in the way that ``how`` says: ``name``.

    ``shown`` is whether a hand marks it with a letter or merely uses the crossing.
    """

    name: str
    at: Point
    caption: str
    how: Fix | None = None
    shown: bool = False


@dataclass(frozen=True)
class AlignProtractor:
    """Centre the protractor at ``vertex`` along ``arm`` and mark ``degrees`` as ``name``.

    ``turn`` is +1 where the angle is counted anticlockwise from the arm, -1 clockwise;
    ``reach`` how far from the vertex the mark is made, cm.
    """

    vertex: str
    arm: str
    degrees: float
    name: str
    at: Point
    caption: str
    turn: int = 1
    reach: float = 5.0


@dataclass(frozen=True)
class JoinMarks:
    """Join marks by a smooth freehand ``curve`` (an ellipse, a parabola): what neither ruler
    nor compasses draw. ``through`` names the marks that were plotted; it may be empty."""

    through: tuple[str, ...]
    curve: Curve
    role: Role
    caption: str
    name: str = ""

    @property
    def ink(self) -> tuple[Curve, ...]:
        return (self.curve,)


Act = SetCompasses | StrikeArc | RuleLine | MarkPoint | AlignProtractor | JoinMarks


@dataclass(frozen=True)
class LineCut:
    """Where arcs about the place ``of`` cut the line through the places ``a`` and ``b``: the
    ``later`` cut on the way from ``a`` to ``b``, or the earlier."""

    of: str
    a: str
    b: str
    later: bool = True


@dataclass(frozen=True)
class ArcMeeting:
    """Where arcs about two places cross: the crossing nearer to the place ``near``, or either
    where that is empty. A crossing at a place of the pattern itself fixes nothing. With no
    ``second`` the arcs about the first pass through ``near``."""

    first: str
    second: str
    near: str = ""


@dataclass(frozen=True)
class Needle:
    """Arcs of one radius about the place ``at``. Needles with the same ``radius`` word have one
    radius, whichever the hand chose; ``opening`` fixes it: cm that are asked for, or the
    distance between two places."""

    at: str
    radius: str
    opening: float | tuple[str, str] | None = None


@dataclass(frozen=True)
class ArcPattern:
    """Arcs that hang together: ``needles`` in the order in which they are struck.

    A place is a point of the figure, one of the evidence's ``unprinted`` or a fixed one of
    ``places``, which earlier needles make. The arcs must really cross at each of ``meetings``
    and reach each cut.
    """

    needles: tuple[Needle, ...]
    places: tuple[tuple[str, LineCut | ArcMeeting], ...] = ()
    meetings: tuple[ArcMeeting, ...] = ()


@dataclass(frozen=True)
class ArcEvidence:
    """Construction arcs that show the method.

    ``name`` is what the mark scheme prints ("equal arcs from A and B"). ``kind``:
    ``equal-arcs``: arcs of one radius, any radius, about the two ``centres``, crossing
    on both sides of the line through them (``both_sides``) or on one.
    ``arm-arcs``: an arc about the first centre (the vertex) that cuts both arms (towards
    the second and third labels), then arcs of one radius about those two cuts, crossing
    inside the angle. ``pattern``: the arcs of ``pattern``, which starts from ``centres``.
    ``some-of``: at least ``least`` of ``parts``; ``of_choice``: one construction at several
    places, of which the hand chooses, not several forms of one; of the ``least`` the first
    ``beyond`` have marks of their own. ``unprinted``: where those of the places stand
    (figure cm) that are not labelled points of the figure. ``opposite``: arcs in the opposite
    angle, across the vertex, show the method as well (two whole lines). ``line_too``: the line
    through the crossings of equal arcs is construction as well. ``element`` is the name of what
    they draw.
    """

    name: str
    kind: Literal["equal-arcs", "arm-arcs", "pattern", "some-of"]
    centres: tuple[str, ...]
    both_sides: bool = True
    unprinted: tuple[tuple[str, Point], ...] = ()
    opposite: bool = False
    pattern: ArcPattern | None = None
    parts: tuple[ArcEvidence, ...] = ()
    least: int = 0
    of_choice: bool = False
    beyond: int = 0
    line_too: bool = False
    element: str = ""


@dataclass(frozen=True)
class ElementWorking:
    """How one element of the answer is drawn, and the evidence its method leaves. ``reason``
    says why the method works."""

    element: str
    method: str
    acts: tuple[Act, ...]
    evidence: tuple[ArcEvidence, ...]
    reason: str = ""


@dataclass(frozen=True)
class Working:
    """A question's whole working in order; ``notes`` say what could not be met."""

    steps: tuple[ElementWorking, ...]
    notes: tuple[str, ...] = ()
