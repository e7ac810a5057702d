"""Facts that are no plain length or angle into constraints."""

from __future__ import annotations

import math
from collections.abc import Callable

from millimark.errors import GivensError
from millimark.plane.point import Point
from millimark.words.choices import InRing, InRound, OnSide, SameSideAs
from millimark.words.constraints import (
    Across,
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
    At,
    BearingOf,
    Beside,
    Fact,
    FootOf,
    GapFrom,
    InCircle,
    LengthRatio,
    Level,
    MidpointOf,
    OnCircle,
    OnLine,
    Parallel,
    ParallelApart,
    Perpendicular,
    PlacedIn,
    Quantity,
    SameFrom,
    Shifted,
    SideAs,
)
from millimark.words.known import number
from millimark.words.measuring import said
from millimark.words.mentioned import Compiled

# Directions of the words, degrees anticlockwise from the x axis.
TOWARDS = {
    "right": 0.0, "above": 90.0, "left": 180.0, "below": 270.0,
    "east": 0.0, "north": 90.0, "west": 180.0, "south": 270.0,
    "north-east": 45.0, "north-west": 135.0, "south-west": 225.0, "south-east": 315.0,
}  # fmt: skip


def demands(
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
        case Parallel(a, b, c, d):
            return [Slope(a, b, c, d, 0.0, f"{a}{b} is parallel to {c}{d}")]
        case ParallelApart(a, b, c, d, gap):
            r, says = cm(gap), f"{c}{d} is parallel to {a}{b} and {said(gap)} from it"
            if r <= 0:
                raise GivensError(f"{says}: the gap must be more than zero.", "Correct it.")
            return [Slope(a, b, c, d, 0.0, says), Gap(c, a, b, r, says), Gap(d, a, b, r, says)]
        case GapFrom(p, a, b, gap):
            return [Gap(p, a, b, cm(gap), f"{p} is {said(gap)} from the line {a}{b}")]
        case FootOf(p, start, a, b):
            says = f"{p} is the foot of the perpendicular from {start} to {a}{b}"
            return [On(p, a, b, "line", says), Slope(start, p, a, b, math.pi / 2, says)]
        case Perpendicular(a, b, c, d):
            says = f"{a}{b} is perpendicular to {c}{d}"
            return [Slope(a, b, c, d, math.pi / 2, says)]
    return _directed(fact, out, cm, coordinate) or _choices(fact, out)


def _directed(
    fact: Fact,
    out: Compiled,
    cm: Callable[[Quantity], float],
    coordinate: Callable[[float], float],
) -> list[Constraint]:
    """The constraints of a fact that fixes a direction of the page or of the map."""
    match fact:
        case Shifted(p, start, length, towards):
            out.oriented = True
            out.absolute |= towards not in ("right", "left", "above", "below")
            turn = math.radians(TOWARDS[towards])
            r = cm(length)
            step = Point(_clean(r * math.cos(turn), r), _clean(r * math.sin(turn), r))
            return [Vector(p, start, step, f"{p} is {said(length)} {towards} from {start}")]
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
    return []


def _choices(fact: Fact, out: Compiled) -> list[Constraint]:
    """The constraints of a fact that names a side or a level line."""
    match fact:
        case LengthRatio(a, b, c, d, times):
            says = f"{a}{b} is {number(times)} times as long as {c}{d}"
            return [EqualDist(a, b, c, d, says, times)]
        case SameFrom(p, a, b):
            return [EqualDist(p, a, p, b, f"{p} is the same distance from {a} as from {b}")]
        case InCircle(p, centre, inside):
            return [_in_circle(p, centre, inside, out)]
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
    across = [ab for ab in out.across if centre in (None, "".join(ab), "".join(ab[::-1]))]
    if len(across) == 1 and (centre or not out.circles):
        a, b = across[0]
        return Across(p, a, b, f"{p} is on the circle on diameter {a}{b}")
    middle, radius, says = _the_circle(p, centre, out)
    if isinstance(radius, str):
        return EqualDist(p, middle, radius, middle, says)
    return Dist(p, middle, radius, f"{p} is on the circle with centre {middle}")


def _in_circle(p: str, centre: str | None, inside: bool, out: Compiled) -> Constraint:
    middle, radius, _ = _the_circle(p, centre, out)
    words = "inside" if inside else "outside"
    says = f"{p} is {words} the circle with centre {middle}"
    return InRound(p, middle, radius, inside, says)


def _the_circle(p: str, centre: str | None, out: Compiled) -> tuple[str, float | str, str]:
    """Centre, radius (or a point on it) and words of the circle that is meant."""
    found = [c for c in out.circles if centre in (None, c[0])]
    if len(found) != 1:
        about = f" with centre {centre}" if centre else ""
        raise GivensError(
            f"{p} is placed by the circle{about}, and the givens have {len(found)} such circles.",
            "Give the circle in a sentence of its own, as in 'A circle has centre O and radius "
            "3 cm.'",
        )
    return found[0]


def _clean(value: float, size: float) -> float:
    """Zero where a cosine leaves only rounding."""
    return 0.0 if abs(value) < 1e-14 * size else value
