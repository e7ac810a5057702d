"""Alternative text: what a figure shows, in words, for readers who cannot see it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.loci.figure import Figure
from millimark.paper.map_marks import BAR_CM, scale_labels
from millimark.paper.question import Question
from millimark.plane.point import Point

_WAYS = (
    "to the right of",
    "above and to the right of",
    "above",
    "above and to the left of",
    "to the left of",
    "below and to the left of",
    "below",
    "below and to the right of",
)
_POLYGONS = {3: "Triangle", 4: "Quadrilateral", 5: "Pentagon", 6: "Hexagon"}


def describe_question(question: Question) -> str:
    """The figure of a question in words, with its scale line and north arrow."""
    parts = [describe(question.figure)]
    if question.scale is not None and "stretch" not in question.aids:
        labels = scale_labels(question.scale)
        parts.append(f"A scale line: {BAR_CM} cm stand for {labels[-1]}.")
    if question.north:
        parts.append("A north arrow points to the top of the page.")
    if "grid" in question.aids:
        parts.append("A faint grid of 1 cm squares.")
    if "arcs" in question.aids:
        parts.append("The first construction arcs are printed for support.")
    parts += [f"An answer line for {r.name}, in {r.unit}." for r in question.readings]
    return " ".join(parts)


def describe(figure: Figure) -> str:
    """One or more sentences: polygons, lines, angles, circles, then points on their own."""
    parts = [_polygon(figure, labels) for labels in figure.polygons]
    sides = {frozenset((p[i - 1], p[i])) for p in figure.polygons for i in range(len(p))}
    parts += _straights(figure, [s for s in figure.segments if frozenset(s) not in sides])
    parts += [f"The straight line through {a} and {b}." for a, b in figure.lines]
    parts += [f"A circle of radius {_cm(c.radius)}, called {c.name}." for c in figure.circles]
    parts += _loose_points(figure)
    return " ".join(parts) or "An empty frame."


def _polygon(figure: Figure, labels: Sequence[str]) -> str:
    sides = [
        f"{a}{b} {_cm(figure.points[a].distance(figure.points[b]))}"
        for a, b in zip(labels, [*labels[1:], labels[0]], strict=True)
    ]
    name = _POLYGONS.get(len(labels), "Polygon")
    return f"{name} {''.join(labels)} with sides {_listed(sides)}."


def _straights(figure: Figure, segments: Sequence[tuple[str, str]]) -> list[str]:
    """Segments and rays: two that share an end as an angle, others one by one."""
    arms = [(a, b, False) for a, b in segments] + [(a, b, True) for a, b in figure.rays]
    found: list[str] = []
    used: set[int] = set()
    for i, one in enumerate(arms):
        for j in range(i + 1, len(arms)):
            if i not in used and j not in used and (vertex := _shared(one, arms[j])):
                found.append(_angle(figure, vertex, _other(one, vertex), _other(arms[j], vertex)))
                used |= {i, j}
    for i, (a, b, endless) in enumerate(arms):
        if i not in used and endless:
            found.append(f"A straight line from {a} through {b}.")
        elif i not in used:
            long = _cm(figure.points[a].distance(figure.points[b]))
            found.append(f"Line segment {a}{b}, {long} long.")
    return found


_Arm = tuple[str, str, bool]


def _shared(one: _Arm, two: _Arm) -> str | None:
    """The vertex of two arms: a ray starts there, a segment may end there too."""
    ends_one = one[:1] if one[2] else one[:2]
    ends_two = two[:1] if two[2] else two[:2]
    return next((label for label in ends_one if label in ends_two), None)


def _other(arm: _Arm, vertex: str) -> str:
    return arm[1] if arm[0] == vertex else arm[0]


def _angle(figure: Figure, vertex: str, b: str, c: str) -> str:
    at = figure.points
    u, v = at[b] - at[vertex], at[c] - at[vertex]
    turn = math.degrees(abs(math.atan2(u.cross(v), u.dot(v))))
    return (
        f"Angle {b}{vertex}{c} of {turn:.4g}°, its arms {vertex}{b}, {_cm(u.norm())}, "
        f"and {vertex}{c}, {_cm(v.norm())}."
    )


def _loose_points(figure: Figure) -> list[str]:
    """Points that no line or polygon has named, each placed by the one before."""
    named = {label for labels in figure.polygons for label in labels}
    named |= {label for pair in (*figure.rays, *figure.segments, *figure.lines) for label in pair}
    loose = sorted(name for name in figure.points if name not in named)
    if not loose:
        return []
    if len(loose) == 1 and not named:
        return [f"Point {loose[0]}."]
    anchor = min(named, default=loose[0])
    rest = [name for name in loose if name != anchor]
    if len(rest) == 1 and anchor in loose:
        apart = _cm(figure.points[anchor].distance(figure.points[rest[0]]))
        way = _way(figure.points[anchor], figure.points[rest[0]])
        return [f"Points {anchor} and {rest[0]}, {apart} apart, {rest[0]} {way} {anchor}."]
    places = [
        f"{name} {_cm(figure.points[anchor].distance(figure.points[name]))} from {anchor}, "
        f"{_way(figure.points[anchor], figure.points[name])} it"
        for name in rest
    ]
    return [f"Points {_listed(loose)}: {'; '.join(places)}."]


def _way(a: Point, b: Point) -> str:
    return _WAYS[round((b - a).angle() / (math.pi / 4)) % 8]


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _cm(length: float) -> str:
    return f"{length:.4g} cm"
