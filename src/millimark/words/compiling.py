"""Facts into constraints, with everything that follows from them made explicit."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from millimark.errors import GivensError
from millimark.plane.point import Point
from millimark.words.choices import InRing, OnSide, SameSideAs
from millimark.words.constraints import (
    Angle,
    Constraint,
    Direction,
    Dist,
    EqualDist,
    Gap,
    Mid,
    On,
    Place,
    Slope,
    Vector,
)
from millimark.words.facts import (
    AngleOf,
    At,
    BearingOf,
    Beside,
    CircleAt,
    CircleThrough,
    Diagonals,
    Drawn,
    Fact,
    Hypotenuse,
    Length,
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
    Quantity,
    RightAngleAt,
    SameLength,
    Shape,
    Shifted,
    SideAs,
    Sides,
    Tether,
    VertexAngle,
)
from millimark.words.known import Known, number
from millimark.words.shapes import check_labels, imply, parallel_sides
from millimark.words.units import Scale

# Directions of the words, degrees anticlockwise from the x axis.
TOWARDS = {
    "right": 0.0, "above": 90.0, "left": 180.0, "below": 270.0,
    "east": 0.0, "north": 90.0, "west": 180.0, "south": 270.0,
    "north-east": 45.0, "north-west": 135.0, "south-west": 225.0, "south-east": 315.0,
}  # fmt: skip


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
    circles: list[tuple[str, float | str, str]] = field(default_factory=list)
    oriented: bool = False
    absolute: bool = False

    def mention(self, *labels: str) -> None:
        """Note labels in order of first mention."""
        for label in labels:
            if label not in self.labels:
                self.labels.append(label)


def compiled(facts: Sequence[Fact], scale: Scale) -> Compiled:
    """All that the facts demand of the points."""
    out = Compiled()
    for fact in facts:
        out.mention(*labels_of(fact))
    for fact in facts:
        if isinstance(fact, CircleAt):
            cm = scale.cm(fact.radius)
            out.circles.append((fact.centre, cm, f"the circle with centre {fact.centre}"))
        elif isinstance(fact, CircleThrough):
            says = f"the circle with centre {fact.centre} passes through {fact.p}"
            out.circles.append((fact.centre, fact.p, says))
    out.shapes = [f for f in facts if isinstance(f, Shape)]
    for shape in out.shapes:
        check_labels(shape)
    _measures(facts, out, scale)
    for shape in out.shapes:
        out.constraints.extend(imply(shape, out.known))
    out.known.close()
    for fact in facts:
        for demand in _demands(fact, out, scale.cm, scale.coordinate):
            _check_distinct(demand)
            out.constraints.append(demand)
    _trapezia(facts, out)
    out.constraints.extend(_known_constraints(out.known))
    return out


def _check_distinct(demand: Constraint) -> None:
    """One point cannot be placed by itself ("C is on AC")."""
    if isinstance(demand, Slope | EqualDist):
        return
    for label in demand.labels:
        if demand.labels.count(label) > 1:
            raise GivensError(
                f"'{demand.says}' speaks of {label} in two places, which says nothing of it.",
                "Name different points.",
            )


def labels_of(fact: Fact) -> tuple[str, ...]:
    """The labels that a fact mentions, in the order in which they are to be placed."""
    match fact:
        case Shape(_, labels) | Mentioned(labels) | PathOf(labels):
            return labels
        case MidpointOf(p, a, b) | OnLine(p, a, b) | Beside(p, a, b):
            return a, b, p
        case SideAs(p, a, b, of):
            return a, b, of, p
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
        ):
            return a, b, c, d
    return _few_labels(fact)


def _few_labels(fact: Fact) -> tuple[str, ...]:
    match fact:
        case Shifted(p, start) | BearingOf(p, start):
            return start, p
        case CircleThrough(centre, p):
            return centre, p
        case AngleOf(a, v, b):
            return v, a, b
        case OnCircle(p) | Tether(p) | At(p) | VertexAngle(p) | RightAngleAt(p) | CircleAt(p):
            return (p,)
    return ()


def _measures(facts: Sequence[Fact], out: Compiled, scale: Scale) -> None:
    """Lengths and angles of the sentences into ``out.known``."""
    shape: Shape | None = None
    for fact in facts:
        match fact:
            case Shape():
                shape = fact
            case Length(a, b, length):
                cm = scale.cm(length)
                out.known.set_length(a, b, cm, f"{a}{b} = {_said(length)}")
            case Sides(lengths):
                _sides(shape, lengths, out, scale.cm)
            case Hypotenuse(length):
                _hypotenuse(shape, facts, length, out, scale.cm)
            case Diagonals(one, two):
                _diagonals(shape, (one, two), out, scale.cm)
            case AngleOf(a, v, b, degrees):
                out.known.set_angle(a, v, b, degrees, f"angle {a}{v}{b} = {number(degrees)}°")
            case VertexAngle(v, degrees):
                a, b = _arms(v, facts, out)
                out.known.set_angle(a, v, b, degrees, f"angle {v} = {number(degrees)}°")
            case RightAngleAt(v):
                a, b = _arms(v, facts, out)
                out.known.set_angle(a, v, b, 90.0, f"there is a right angle at {v}")
            case SameLength(a, b, c, d):
                out.known.set_equal((a, b), (c, d), f"{a}{b} = {c}{d}")
            case _:
                pass


def _said(length: Quantity) -> str:
    return f"{number(length.value)} {length.unit}"


def _sides(
    shape: Shape | None,
    lengths: Sequence[Quantity],
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    if shape is None:
        raise GivensError(
            f"A side of {_said(lengths[0])} is given, but no shape before it.",
            "Name the shape first, as in 'Square ABCD has side 5 cm'.",
        )
    labels = shape.labels
    for i, length in enumerate(lengths):
        a, b = labels[i % len(labels)], labels[(i + 1) % len(labels)]
        out.known.set_length(a, b, cm(length), f"{a}{b} = {_said(length)}")


def _hypotenuse(
    shape: Shape | None,
    facts: Sequence[Fact],
    length: Quantity,
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    labels = shape.labels if shape else ()
    right = [f.v for f in facts if isinstance(f, RightAngleAt) and f.v in labels]
    right += [f.v for f in facts if isinstance(f, AngleOf) and f.degrees == 90 and f.v in labels]
    if len(labels) != 3 or not right:
        raise GivensError(
            f"A hypotenuse of {_said(length)} is given before any right angle of a triangle.",
            "Say first where the right angle is, as in 'Triangle PQR is right-angled at Q'.",
        )
    a, b = (p for p in labels if p != right[0])
    out.known.set_length(a, b, cm(length), f"the hypotenuse {a}{b} = {_said(length)}")


def _diagonals(
    shape: Shape | None,
    lengths: Sequence[Quantity],
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    if shape is None or len(shape.labels) != 4:
        raise GivensError(
            "Two diagonals are given, but no four-sided shape before them.",
            "Name the shape first, as in 'Rhombus ABCD has diagonals 6 cm and 8 cm'.",
        )
    a, b, c, d = shape.labels
    for (p, q), length in zip(((a, c), (b, d)), lengths, strict=True):
        out.known.set_length(p, q, cm(length), f"the diagonal {p}{q} = {_said(length)}")


def _arms(v: str, facts: Sequence[Fact], out: Compiled) -> tuple[str, str]:
    """The two neighbours of the vertex v that "angle v" speaks of."""
    for shape in out.shapes:
        if v in shape.labels:
            i = shape.labels.index(v)
            return shape.labels[i - 1], shape.labels[(i + 1) % len(shape.labels)]
    ends = [f.b if f.a == v else f.a for f in facts if isinstance(f, Length) and v in (f.a, f.b)]
    ends = list(dict.fromkeys(ends))
    if len(ends) == 2:
        return ends[0], ends[1]
    raise GivensError(
        f"'angle {v}' does not say between which lines.",
        f"Name it by three letters, as in 'angle B{v}C', or name the shape.",
    )


def _demands(
    fact: Fact,
    out: Compiled,
    cm: Callable[[Quantity], float],
    coordinate: Callable[[float], float],
) -> list[Constraint]:
    """The constraints of a fact that is no plain length or angle."""
    match fact:
        case MidpointOf(p, a, b):
            return [Mid(p, a, b, f"{p} is the midpoint of {a}{b}")]
        case OnLine(p, a, b, part):
            words = {"segment": f"on {a}{b}", "line": f"on the line through {a} and {b}"}
            return [On(p, a, b, part, f"{p} is {words.get(part, f'on {a}{b} produced')}")]
        case Shifted(p, start, length, towards):
            out.oriented = True
            out.absolute |= towards not in ("right", "left", "above", "below")
            turn = math.radians(TOWARDS[towards])
            r = cm(length)
            step = Point(_clean(r * math.cos(turn), r), _clean(r * math.sin(turn), r))
            return [Vector(p, start, step, f"{p} is {_said(length)} {towards} from {start}")]
        case BearingOf(p, start, degrees):
            out.oriented = out.absolute = True
            if not 0 <= degrees <= 360:
                raise GivensError(
                    f"The bearing {number(degrees)}° of {p} from {start} is not between 000° and "
                    "360°.",
                    "Bearings are counted clockwise from north.",
                )
            turn = math.radians(90 - degrees)
            return [
                Direction(p, start, turn, f"{p} is on a bearing of {degrees:03g}° from {start}")
            ]
        case At(p, x, y):
            out.oriented = out.absolute = True
            says = f"{p} is at ({number(x)}, {number(y)})"
            return [Place(p, coordinate(x), coordinate(y), says)]
        case Parallel(a, b, c, d):
            return [Slope(a, b, c, d, 0.0, f"{a}{b} is parallel to {c}{d}")]
        case ParallelApart(a, b, c, d, gap):
            r, said = cm(gap), f"{c}{d} is parallel to {a}{b} and {_said(gap)} from it"
            if r <= 0:
                raise GivensError(f"{said}: the gap must be more than zero.", "Correct it.")
            return [Slope(a, b, c, d, 0.0, said), Gap(c, a, b, r, said), Gap(d, a, b, r, said)]
        case Perpendicular(a, b, c, d):
            says = f"{a}{b} is perpendicular to {c}{d}"
            return [Slope(a, b, c, d, math.pi / 2, says)]
    return _choices(fact, out)


def _choices(fact: Fact, out: Compiled) -> list[Constraint]:
    """The constraints of a fact that names a side or a level line."""
    match fact:
        case OnCircle(p, centre):
            return [_on_circle(p, centre, out)]
        case Level(a, b, way):
            out.oriented = True
            turn = 0.0 if way == "horizontal" else math.pi / 2
            return [Direction(b, a, turn, f"{a}{b} is {way}")]
        case Beside(p, a, b, side):
            words = side if side in ("above", "below") else f"to the {side} of"
            return [OnSide(p, a, b, side, f"{p} is {words} {a}{b}")]
        case SideAs(p, a, b, of, same):
            words = (
                f"on the {'same' if same else 'other'} side of {a}{b} {'as' if same else 'from'}"
            )
            return [SameSideAs(p, a, b, of, same, f"{p} is {words} {of}")]
        case PlacedIn(p, ring, inside):
            words = "inside" if inside else "outside"
            return [InRing(p, ring, inside, f"{p} is {words} {''.join(ring)}")]
    return []


def _on_circle(p: str, centre: str | None, out: Compiled) -> Constraint:
    found = [c for c in out.circles if centre in (None, c[0])]
    if len(found) != 1:
        about = f" with centre {centre}" if centre else ""
        raise GivensError(
            f"{p} is said to be on the circle{about}, and the givens have {len(found)} such "
            "circles.",
            "Give the circle in a sentence of its own, as in 'A circle has centre O and radius "
            "3 cm.'",
        )
    (middle, radius, says) = found[0]
    if isinstance(radius, str):
        return EqualDist(p, middle, radius, middle, says)
    return Dist(p, middle, radius, f"{p} is on the circle with centre {middle}")


def _clean(value: float, size: float) -> float:
    """Zero where a cosine leaves only rounding."""
    return 0.0 if abs(value) < 1e-14 * size else value


def _trapezia(facts: Sequence[Fact], out: Compiled) -> None:
    for shape in out.shapes:
        if "trapezium" not in shape.kind:
            continue
        corners = set(shape.labels)
        named = [f for f in facts if isinstance(f, Parallel) and {f.a, f.b, f.c, f.d} == corners]
        if not named:
            out.constraints.append(parallel_sides(shape))


def _known_constraints(known: Known) -> list[Constraint]:
    out: list[Constraint] = []
    for pair, (cm, says) in known.lengths.items():
        a, b = sorted(pair)
        out.append(Dist(a, b, cm, says))
    for (v, arms), (degrees, says) in known.angles.items():
        a, b = sorted(arms)
        out.append(Angle(a, v, b, math.radians(degrees), says))
    for one, two, says in known.equal:
        if one not in known.lengths:
            (a, b), (c, d) = sorted(one), sorted(two)
            out.append(EqualDist(a, b, c, d, says))
    return out
