"""What a figure is compiled to, and in which order facts mention its points."""

from __future__ import annotations

from dataclasses import dataclass, field

from millimark.words.constraints import Constraint
from millimark.words.facts import (
    AngleOf,
    At,
    BearingOf,
    Beside,
    CircleAcross,
    CircleAt,
    CircleThrough,
    Drawn,
    Fact,
    FootOf,
    GapFrom,
    InCircle,
    Length,
    LengthRatio,
    Level,
    Mentioned,
    MidpointOf,
    OnCircle,
    OnLine,
    Parallel,
    ParallelApart,
    PathOf,
    Perpendicular,
    PlacedIn,
    RightAngleAt,
    SameFrom,
    SameLength,
    Shape,
    Shifted,
    SideAs,
    Tether,
    VertexAngle,
)
from millimark.words.known import Known


@dataclass
class Compiled:
    """Labels in order of first mention, constraints and polygons.

    ``oriented``: some direction of the page is named; ``absolute``: the givens are those of
    a map or a grid, where no line is laid across the page by habit.
    """

    labels: list[str] = field(default_factory=list)
    constraints: list[Constraint] = field(default_factory=list)
    shapes: list[Shape] = field(default_factory=list)
    known: Known = field(default_factory=Known)
    across: list[tuple[str, str]] = field(default_factory=list)
    circles: list[tuple[str, float | str, str]] = field(default_factory=list)
    oriented: bool = False
    absolute: bool = False

    def mention(self, *labels: str) -> None:
        """Note labels in order of first mention."""
        for label in labels:
            if label not in self.labels:
                self.labels.append(label)


def labels_of(fact: Fact) -> tuple[str, ...]:
    """The labels that a fact mentions, in the order in which they are to be placed."""
    match fact:
        case Shape(_, labels) | Mentioned(labels) | PathOf(labels):
            return labels
        case MidpointOf(p, a, b) | OnLine(p, a, b) | Beside(p, a, b):
            return a, b, p
        case SameFrom(p, a, b) | GapFrom(p, a, b):
            return a, b, p
        case SideAs(p, a, b, of):
            return a, b, of, p
        case FootOf(p, start, a, b):
            return a, b, start, p
        case PlacedIn(p, ring):
            return *ring, p
        case Length(a, b, _, False):
            return (a, b) if a <= b else (b, a)
        case Length(a, b) | Drawn(a, b) | Level(a, b):
            return a, b
        case (
            SameLength(a, b, c, d)
            | Parallel(a, b, c, d)
            | ParallelApart(a, b, c, d)
            | Perpendicular(a, b, c, d)
            | LengthRatio(a, b, c, d)
        ):
            return a, b, c, d
    return _few_labels(fact)


def _few_labels(fact: Fact) -> tuple[str, ...]:
    match fact:
        case Shifted(p, start) | BearingOf(p, start):
            return start, p
        case CircleAcross(a, b):
            return a, b
        case CircleThrough(centre, p):
            return centre, p
        case AngleOf(a, v, b):
            return v, a, b
        case (
            InCircle(p)
            | OnCircle(p)
            | Tether(p)
            | At(p)
            | VertexAngle(p)
            | RightAngleAt(p)
            | CircleAt(p)
        ):
            return (p,)
    return ()
