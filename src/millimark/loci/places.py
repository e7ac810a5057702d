"""Looking labels up in a figure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from millimark.errors import NoAnswerError
from millimark.loci.figure import Figure, GivenCircle
from millimark.plane.point import EPS, Point


def place(figure: Figure, label: str) -> Point:
    """Where the point ``label`` stands; NoAnswerError if the figure has none."""
    try:
        return figure.points[label]
    except KeyError:
        known = ", ".join(figure.points) or "none"
        raise NoAnswerError(
            f"There is no point {label} in the figure.", f"Its points are: {known}."
        ) from None


def corners(figure: Figure, labels: Sequence[str]) -> list[Point]:
    """The vertices of a polygon, in order; NoAnswerError if fewer than three, or if its sides
    cross."""
    if len(labels) < 3:
        raise NoAnswerError(
            f"{''.join(labels)} has {len(labels)} corners; a polygon has at least 3."
        )
    ring = [place(figure, label) for label in labels]
    if len(ring) > 3 and _meets_itself(ring):
        raise NoAnswerError(
            f"The sides of {''.join(labels)} cross or touch each other.",
            "Name the corners of a polygon in order round it.",
        )
    return ring


def _meets_itself(ring: Sequence[Point]) -> bool:
    """Whether two sides cross, or a corner lies on a side that is not its own."""
    n = len(ring)
    sides = list(zip(ring, [*ring[1:], ring[0]], strict=True))
    if any(_apart(a, b, c, d) and _apart(c, d, a, b) for (a, b), (c, d) in combinations(sides, 2)):
        return True
    return any(
        _on(*sides[k], p)
        for i, p in enumerate(ring)
        for k in range(n)
        if k not in (i, (i - 1) % n) and min(p.distance(q) for q in sides[k]) > EPS
    )


def _apart(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether c and d lie strictly on different sides of the line ab."""
    return (b - a).cross(c - a) * (b - a).cross(d - a) < -1e-18


def _on(a: Point, b: Point, p: Point) -> bool:
    """Whether p lies on the segment ab."""
    d = a.distance(b)
    if d <= EPS or abs((b - a).cross(p - a)) > EPS * d:
        return False
    return 0.0 <= (p - a).dot(b - a) <= d * d


def circle(figure: Figure, name: str) -> GivenCircle:
    """The given circle ``name``; NoAnswerError if the figure has none."""
    for given in figure.circles:
        if given.name == name:
            return given
    known = ", ".join(c.name for c in figure.circles) or "none"
    raise NoAnswerError(f"There is no circle {name} in the figure.", f"Its circles are: {known}.")
