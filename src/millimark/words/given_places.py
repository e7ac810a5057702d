"""The rules of givens.lark that say where a point is.

A place is read before its point is known: it becomes a function of the label.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from millimark.errors import GivensError
from millimark.words.common_tree import pair
from millimark.words.earley import Word
from millimark.words.facts import (
    At,
    BearingOf,
    Beside,
    CircleAt,
    CircleThrough,
    Drawn,
    FootOf,
    GapFrom,
    InCircle,
    Length,
    MidpointOf,
    OnCircle,
    OnLine,
    PlacedIn,
    Quantity,
    SameFrom,
    Shifted,
    SideAs,
)
from millimark.words.given_shapes import Facts, ShapeTree
from millimark.words.tokens import split_labels


def flat(parts: Sequence[Any]) -> Facts:
    """All facts of several lists in one."""
    return [fact for part in parts for fact in part]


class PlaceTree(ShapeTree):
    """Places of points."""

    # --- places
    def places(self, label: Word, *places: Any) -> Facts:
        return flat([place(str(label)) for place in places])

    def places_each(self, *parts: Any) -> Facts:
        return flat([parts[-1](str(label)) for label in parts[:-1]])

    def from_labels(self, *labels: Word) -> list[str]:
        return [str(label) for label in labels]

    def from_points(self, length: Quantity, labels: list[str]) -> Any:
        return lambda p: [Length(p, a, length, drawn=False) for a in labels]

    def shifted(self, length: Quantity, towards: str, start: Word) -> Any:
        return lambda p: [Shifted(p, str(start), length, towards)]

    def shifted_after(
        self, towards: str, start: Word, length: Quantity, end: Word | None = None
    ) -> Any:
        same_start(start, end)
        return self.shifted(length, towards, start)

    def midpoint(self, ab: Word) -> Any:
        return lambda p: [MidpointOf(p, *pair(ab))]

    def halfway(self, a: Word, b: Word) -> Any:
        return lambda p: [MidpointOf(p, str(a), str(b))]

    def on_segment(self, ab: Word) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "segment")]

    def on_produced(self, ab: Word) -> Any:
        return lambda p: [OnLine(p, *pair(ab), "produced")]

    def on_whole(self, a: Word, b: Word) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "line")]

    def along_segment(self, ab: Word, _start: Word) -> Any:
        return self.on_segment(ab)

    def along(self, length: Quantity, ab: Word, start: Word | None = None) -> Any:
        a, b = pair(ab)
        origin = str(start) if start else a
        return lambda p: [OnLine(p, a, b, "segment"), Length(p, origin, length, drawn=False)]

    def along_from(self, length: Quantity, start: Word, ab: Word) -> Any:
        return self.along(length, ab, start)

    def on_segment_between(self, a: Word, b: Word) -> Any:
        return lambda p: [OnLine(p, str(a), str(b), "segment")]

    def between_on(self, a: Word, b: Word, _line: Word) -> Any:
        return self.on_segment_between(a, b)

    def on_circle(self, centre: str | None) -> Any:
        return lambda p: [OnCircle(p, centre)]

    def on_new_circle(self, centre: Word, radius: Quantity) -> Any:
        return lambda p: [CircleAt(str(centre), radius), OnCircle(p, str(centre))]

    def in_circle(self, centre: str | None) -> Any:
        return lambda p: [InCircle(p, centre, inside=True)]

    def out_of_circle(self, centre: str | None) -> Any:
        return lambda p: [InCircle(p, centre, inside=False)]

    def bearing_seen(self, start: Word, p: Word, bearing: float) -> Facts:
        return [BearingOf(str(p), str(start), bearing)]

    def only_circle(self) -> None:
        return None

    def diameter_circle(self, ab: Word) -> str:
        return str(ab)

    def named_circle(self, centre: Word) -> str:
        return str(centre)

    def named_bearing(self, p: Word, start: Word, bearing: float) -> Facts:
        return [BearingOf(str(p), str(start), bearing)]

    def at_place(self, p: Word, place: tuple[float, float]) -> Facts:
        return [At(str(p), *place)]

    def diameter_is(self, ab: Word, centre: Word) -> Facts:
        a, b = pair(ab)
        return [
            MidpointOf(str(centre), a, b),
            Drawn(a, b, "segment"),
            CircleThrough(str(centre), a),
        ]

    def named_midpoint(self, ab: Word, p: Word) -> Facts:
        return [MidpointOf(str(p), *pair(ab))]

    def gap_beside(self, gap: Quantity, side: str, ab: Word) -> Any:
        return lambda p: [GapFrom(p, *pair(ab), gap), Beside(p, *pair(ab), side)]

    def gap(self, gap: Quantity, ab: Word) -> Any:
        return lambda p: [GapFrom(p, *pair(ab), gap)]

    def foot(self, start: Word, ab: Word) -> Any:
        return lambda p: [FootOf(p, str(start), *pair(ab))]

    def same_from(self, ab: Word) -> Any:
        return lambda p: [SameFrom(p, *pair(ab))]

    def same_from_points(self, a: Word, b: Word) -> Any:
        return lambda p: [SameFrom(p, str(a), str(b))]

    def beside(self, side: str, ab: Word) -> Any:
        return lambda p: [Beside(p, *pair(ab), side)]

    def same_side_as(self, ab: Word, of: Word) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=True)]

    def other_side_from(self, ab: Word, of: Word) -> Any:
        return lambda p: [SideAs(p, *pair(ab), str(of), same=False)]

    def placed_inside(self, _kind: str, labels: Word) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=True)]

    def placed_outside(self, _kind: str, labels: Word) -> Any:
        return lambda p: [PlacedIn(p, split_labels(str(labels)), inside=False)]

    def at(self, place: tuple[float, float]) -> Any:
        return lambda p: [At(p, *place)]

    def bearing_from(self, bearing: float, start: Word) -> Any:
        return lambda p: [BearingOf(p, str(start), bearing)]

    def bearing_distance(
        self, bearing: float, start: Word, length: Quantity, end: Word | None = None
    ) -> Any:
        return self.distance_bearing(length, start, bearing, end)

    def bearing_then_distance(self, bearing: float, length: Quantity, start: Word) -> Any:
        return self.distance_bearing(length, start, bearing)

    def distance_bearing(
        self, length: Quantity, start: Word, bearing: float, end: Word | None = None
    ) -> Any:
        same_start(start, end)
        return lambda p: [
            BearingOf(p, str(start), bearing),
            Length(p, str(start), length, drawn=False),
        ]

    def bearing(self, number: Word) -> float:
        return float(number)

    def coordinates(self, x: float, y: float) -> tuple[float, float]:
        return x, y

    def signed(self, number: Word) -> float:
        return float(number)

    def negative(self, number: Word) -> float:
        return -float(number)


def same_start(start: Word, end: Word | None) -> None:
    """ "above A and 5 cm from it" names one point only."""
    if end is not None and str(end) != str(start):
        raise GivensError(
            f"A direction from {start} goes with a distance from {start}, not from {end}.",
            f"Say how far it is from {start}.",
        )
