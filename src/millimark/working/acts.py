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
class SetCompasses:
    """Open the compasses to ``radius`` cm: a length on the ruler, or between two points."""

    radius: float
    between: tuple[str, str] | None
    caption: str


@dataclass(frozen=True)
class StrikeArc:
    """Put the needle on the point ``centre`` and draw ``arc``."""

    centre: str
    arc: Arc
    role: Role
    caption: str

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

    @property
    def ink(self) -> tuple[Curve, ...]:
        return (self.segment,)


@dataclass(frozen=True)
class MarkPoint:
    """A point that earlier acts fix (a crossing, an end, a step along a line): ``name``."""

    name: str
    at: Point
    caption: str


@dataclass(frozen=True)
class AlignProtractor:
    """Centre the protractor at ``vertex`` along ``arm`` and mark ``degrees`` as ``name``."""

    vertex: str
    arm: str
    degrees: float
    name: str
    at: Point
    caption: str


Act = SetCompasses | StrikeArc | RuleLine | MarkPoint | AlignProtractor


@dataclass(frozen=True)
class ArcEvidence:
    """Construction arcs that show the method.

    ``name`` is what the mark scheme prints ("equal arcs from A and B"). ``kind``:
    ``equal-arcs``: arcs of one radius, any radius, about the two ``centres``, crossing
    on both sides of the line through them (``both_sides``) or on one.
    ``arm-arcs``: an arc about the first centre (the vertex) that cuts both arms (towards
    the second and third labels), then arcs of one radius about those two cuts, crossing
    inside the angle.
    """

    name: str
    kind: Literal["equal-arcs", "arm-arcs"]
    centres: tuple[str, ...]
    both_sides: bool = True


@dataclass(frozen=True)
class ElementWorking:
    """How one element of the answer is drawn, and the evidence its method leaves."""

    element: str
    method: str
    acts: tuple[Act, ...]
    evidence: tuple[ArcEvidence, ...]


@dataclass(frozen=True)
class Working:
    """A question's whole working in order; ``notes`` say what could not be met."""

    steps: tuple[ElementWorking, ...]
    notes: tuple[str, ...] = ()
