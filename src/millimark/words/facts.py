"""What the givens say, one value a statement. Labels and quantities as they are printed.

Nothing here is placed yet: ``placing`` makes points of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from millimark.words.earley import Node


@dataclass(frozen=True)
class Quantity:
    """A length as printed: ``value`` of ``unit`` (mm, cm, m, km, in, ft, yd, mile)."""

    value: float
    unit: str


@dataclass(frozen=True)
class Length:
    """The distance from ``a`` to ``b``; the segment is printed if ``drawn``."""

    a: str
    b: str
    length: Quantity
    drawn: bool


@dataclass(frozen=True)
class SameLength:
    """ab and cd are equally long; both are printed."""

    a: str
    b: str
    c: str
    d: str


@dataclass(frozen=True)
class LengthRatio:
    """ab is ``times`` as long as cd; both are printed."""

    a: str
    b: str
    c: str
    d: str
    times: float


@dataclass(frozen=True)
class SameFrom:
    """``p`` is the same distance from ``a`` as from ``b``."""

    p: str
    a: str
    b: str


@dataclass(frozen=True)
class GapFrom:
    """``p`` is ``gap`` from the whole line ab."""

    p: str
    a: str
    b: str
    gap: Quantity


@dataclass(frozen=True)
class FootOf:
    """``p`` is the foot of the perpendicular from ``start`` to the line ab."""

    p: str
    start: str
    a: str
    b: str


@dataclass(frozen=True)
class AngleOf:
    """The angle at ``v`` from the arm va to the arm vb, degrees, below 180."""

    a: str
    v: str
    b: str
    degrees: float


@dataclass(frozen=True)
class VertexAngle:
    """The angle of the only polygon that has the vertex ``v``, degrees."""

    v: str
    degrees: float


@dataclass(frozen=True)
class Shape:
    """A polygon by its vertices in order; ``kind`` "triangle", "rectangle", ..."""

    kind: str
    labels: tuple[str, ...]


@dataclass(frozen=True)
class Sides:
    """Lengths of the shape named last, in order from its first side."""

    lengths: tuple[Quantity, ...]


@dataclass(frozen=True)
class RightAngleAt:
    """A right angle at ``v`` of the only polygon that has it as a vertex."""

    v: str


@dataclass(frozen=True)
class MidpointOf:
    """``p`` is half way between ``a`` and ``b``."""

    p: str
    a: str
    b: str


@dataclass(frozen=True)
class OnLine:
    """``p`` lies on the segment ab, or on the line ab, or on ab produced beyond b."""

    p: str
    a: str
    b: str
    part: Literal["segment", "line", "produced"]


@dataclass(frozen=True)
class Shifted:
    """``p`` is ``length`` from ``start`` in the direction ``towards``.

    ``towards`` is "right", "left", "above", "below", or a compass word.
    """

    p: str
    start: str
    length: Quantity
    towards: str


@dataclass(frozen=True)
class BearingOf:
    """The bearing of ``p`` from ``start``: degrees clockwise from north."""

    p: str
    start: str
    degrees: float


@dataclass(frozen=True)
class At:
    """``p`` has the coordinates (x, y), in cm or, under a scale, in units of the words."""

    p: str
    x: float
    y: float


@dataclass(frozen=True)
class Parallel:
    """ab is parallel to cd."""

    a: str
    b: str
    c: str
    d: str


@dataclass(frozen=True)
class ParallelApart:
    """ab is parallel to cd, ``gap`` from it."""

    a: str
    b: str
    c: str
    d: str
    gap: Quantity


@dataclass(frozen=True)
class Mentioned:
    """The points are given, and nothing else is said of them."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class Perpendicular:
    """ab is perpendicular to cd."""

    a: str
    b: str
    c: str
    d: str


@dataclass(frozen=True)
class Drawn:
    """ab is printed as a segment, a ray or a whole line."""

    a: str
    b: str
    part: Literal["segment", "ray", "line"]


@dataclass(frozen=True)
class Level:
    """ab runs across the page, from left to right, or up the page."""

    a: str
    b: str
    way: Literal["horizontal", "vertical"]


@dataclass(frozen=True)
class Beside:
    """``p`` lies on one ``side`` of the line ab: above, below, left or right as printed."""

    p: str
    a: str
    b: str
    side: str


@dataclass(frozen=True)
class SideAs:
    """``p`` lies on the same side of the line ab as ``of``, or not ``same``."""

    p: str
    a: str
    b: str
    of: str
    same: bool


@dataclass(frozen=True)
class PlacedIn:
    """``p`` lies inside the polygon ``ring``, or not ``inside``."""

    p: str
    ring: tuple[str, ...]
    inside: bool


@dataclass(frozen=True)
class CircleAt:
    """A printed circle about ``centre``."""

    centre: str
    radius: Quantity


@dataclass(frozen=True)
class CircleAcross:
    """A printed circle with the diameter ab; its centre has no letter."""

    a: str
    b: str


@dataclass(frozen=True)
class CircleThrough:
    """A printed circle about ``centre`` through ``p``."""

    centre: str
    p: str


@dataclass(frozen=True)
class OnCircle:
    """``p`` lies on the circle about ``centre``, or on the only one (None)."""

    p: str
    centre: str | None


@dataclass(frozen=True)
class InCircle:
    """``p`` lies inside the circle about ``centre`` (or the only one), or not ``inside``."""

    p: str
    centre: str | None
    inside: bool


@dataclass(frozen=True)
class Perimeter:
    """The perimeter of the shape named last, all of whose sides are equal."""

    length: Quantity


@dataclass(frozen=True)
class Hypotenuse:
    """The length of the side opposite the right angle of the shape named last."""

    length: Quantity


@dataclass(frozen=True)
class Diagonals:
    """The lengths of the diagonals of the four-sided shape named last: first to third
    vertex, then second to fourth (None: not given)."""

    one: Quantity
    two: Quantity | None


@dataclass(frozen=True)
class Tether:
    """An animal is tied at ``p`` by a rope."""

    p: str
    length: Quantity


@dataclass(frozen=True)
class LadderOf:
    """A ladder of this length stands against a wall that is not drawn yet."""

    length: Quantity


@dataclass(frozen=True)
class Motion:
    """A point moves so that a condition holds, which an ask reads; ``p`` is its letter or None."""

    p: str | None
    tree: Node


@dataclass(frozen=True)
class PathOf:
    """An open path that is printed through these points in order."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class ScaleIs:
    """``paper`` on the paper represents ``real`` in the world."""

    paper: Quantity
    real: Quantity


Fact = (
    Length
    | SameLength
    | LengthRatio
    | SameFrom
    | GapFrom
    | FootOf
    | AngleOf
    | VertexAngle
    | Shape
    | Sides
    | RightAngleAt
    | MidpointOf
    | OnLine
    | Shifted
    | BearingOf
    | At
    | Parallel
    | ParallelApart
    | Mentioned
    | Perpendicular
    | Drawn
    | Level
    | Beside
    | SideAs
    | PlacedIn
    | CircleAt
    | CircleAcross
    | CircleThrough
    | OnCircle
    | InCircle
    | Perimeter
    | Hypotenuse
    | Diagonals
    | Tether
    | LadderOf
    | Motion
    | PathOf
    | ScaleIs
)
