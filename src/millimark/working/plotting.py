"""Curves that no single stroke draws, plotted by points that compasses and ruler fix.

An ellipse: for each radius r, arcs of r about one focus and of the rest of the sum about the
other cross. A parabola: for each distance k, the parallel k from the line and the arc of k
about the focus cross. The marks are joined by a smooth freehand curve.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.errors import PlanError
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.working.bench import Bench
from millimark.working.drawn import Drawn
from millimark.working.perpendiculars import perpendicular_at, perpendicular_from
from millimark.working.wording import cm

FREEHAND = "no single stroke of ruler or compasses draws it: plot points and join them"
JOIN = "Join the marks by a smooth curve."


# --- ellipse -------------------------------------------------------------------------------
def plot_ellipse(
    bench: Bench, foci: tuple[str, str], length: float, needed: Sequence[Curve]
) -> Drawn:
    """Plot the points whose distances from two marks add up to ``length``."""
    c = bench.points[foci[0]].distance(bench.points[foci[1]]) / 2
    marks: list[str] = []
    least, most = bench.instruments.compasses_min_cm, bench.instruments.compasses_cm
    low, high = max(length / 2 - c, least), min(length / 2 + c, length - least, most)
    for k in range(1, 6):
        r = round(low + (high - low) * k / 6, 1)
        marks.extend(_two_crossings(bench, foci, (r, length - r)))
    for curve in needed:
        bench.join(tuple(marks), curve, JOIN)
    why = f"For each mark the two openings add up to {cm(length)}."
    return Drawn("", FREEHAND, (), why)


def _two_crossings(bench: Bench, foci: tuple[str, str], radii: tuple[float, float]) -> list[str]:
    """The marks on both sides for one pair of radii; none where they do not cross in the room."""
    a, b = (bench.points[n] for n in foci)
    d = a.distance(b)
    x = (d * d + radii[0] ** 2 - radii[1] ** 2) / (2 * d)
    h2 = radii[0] ** 2 - x * x
    if h2 <= 0.04 or max(radii) > bench.instruments.compasses_cm:
        return []
    ahead = (b - a).unit()
    places = [a + ahead * x + ahead.left() * (s * math.sqrt(h2)) for s in (1, -1)]
    if not all(bench.room.holds(p) for p in places):
        return []
    inks = {}
    for focus, r in zip(foci, radii, strict=True):
        bench.open_to(r, f"Open the compasses to {cm(r)}.")
        for place, side in zip(places, ("one side", "the other side"), strict=True):
            caption = f"With the needle on {focus}, strike an arc on {side}."
            inks[focus, place] = bench.strike_at(focus, place, caption, 0.4)
    return [bench.cross(inks[foci[0], p], inks[foci[1], p], p) for p in places]


# --- parabola ---------------------------------------------------------------------------------
def plot_parabola(
    bench: Bench, focus: str, line: tuple[str, str], needed: Sequence[Curve]
) -> Drawn | None:
    """Plot the points as far from ``focus`` as from a line; None where the room or the
    line leaves no place for it."""
    a, b = line
    ahead = (bench.points[b] - bench.points[a]).unit()
    off = (bench.points[focus] - bench.points[a]).cross(ahead)
    d, up = abs(off), ahead.left() * (-1 if off > 0 else 1)
    foot = bench.points[focus] - up * d
    second = max(line, key=lambda name: bench.points[name].distance(foot))
    heights = [k for k in _heights(bench, d) if _plottable(bench, foot, ahead, up, d, k, needed)]
    if len(heights) < 3 or bench.points[second].distance(foot) < 2.0:
        return None
    if bench.space(second, up) < max(heights) + 0.2:
        return None
    other = b if second == a else a
    side = 1 if (bench.points[other] - bench.points[second]).unit().left().dot(up) > 0 else -1
    _ink, foot_mark = perpendicular_from(bench, focus, a, b)
    post = perpendicular_at(bench, second, other, max(heights) + 0.2, (side,))
    top = bench.anchor_on(post, second, bench.points[second] + up)
    marks: list[str] = []
    for k in heights:
        marks.extend(_on_parallel(bench, (focus, foot_mark), (second, top), ahead, d, k))
    on_curve = tuple(
        m
        for m in dict.fromkeys(marks)
        if any(c.distance_to(bench.points[m]) < 1e-6 for c in needed)
    )
    for curve in needed:
        bench.join(on_curve, curve if curve.bounded else clipped(bench, curve), JOIN)
    why = "For each mark the distance from the line and the opening about the point are the same."
    return Drawn("", FREEHAND, (), why)


def _heights(bench: Bench, d: float) -> list[float]:
    """Distances from the line at which points are plotted, from near the vertex outwards."""
    tools = bench.instruments
    wanted = (0.65 * d, 0.8 * d, 1.0 * d, 1.2 * d, 1.4 * d)
    return [
        k
        for k in (round(w, 1) for w in wanted)
        if tools.compasses_min_cm <= k <= tools.compasses_cm
    ]


def _plottable(
    bench: Bench, foot: Point, ahead: Point, up: Point, d: float, k: float, needed: Sequence[Curve]
) -> bool:
    """Whether both points at height ``k`` are in the room and one of them is needed."""
    if 2 * k * d - d * d <= 0.04:
        return False
    x = math.sqrt(2 * k * d - d * d)
    places = [foot + up * k + ahead * (s * x) for s in (1, -1)]
    return all(bench.room.holds(p) for p in places) and any(
        c.distance_to(p) < 1e-6 for c in needed for p in places
    )


def _on_parallel(
    bench: Bench,
    axis: tuple[str, str],
    post: tuple[str, str],
    ahead: Point,
    d: float,
    k: float,
) -> list[str]:
    """The two points of the parabola ``k`` cm from the line."""
    focus, foot = axis
    second, top = post
    one = bench.step(foot, focus, k, f"Measure {cm(k)} from the foot towards {focus}.")
    two = bench.step(second, top, k, f"Measure {cm(k)} from {second} along its perpendicular.")
    x = math.sqrt(2 * k * d - d * d)
    sign = 1.0 if (bench.points[two] - bench.points[one]).dot(ahead) > 0 else -1.0
    parallel = bench.rule(
        one, two, -x - 0.3, x + 0.3, "construction",
        f"Rule the parallel {cm(k)} from the line through both marks.",
    )  # fmt: skip
    bench.open_to(k, f"Open the compasses to {cm(k)}.")
    marks = []
    for s, which in ((1.0, "one side"), (-1.0, "the other side")):
        place = bench.points[one] + ahead * (sign * s * x)
        caption = f"With the needle on {focus}, strike an arc across the parallel on {which}."
        marks.append(bench.cross(parallel, bench.strike_at(focus, place, caption, 0.4), place))
    return marks


def clipped(bench: Bench, piece: Curve) -> Curve:
    """The part of an unbounded piece inside the room, as long as it goes on from its middle."""
    start = piece.t0 if math.isfinite(piece.t0) else 0.0
    if not bench.room.holds(piece.point_at(start), 1.0):
        raise PlanError(
            "A part of the locus begins outside the room for it.", "Give the question more room."
        )
    low = start if math.isfinite(piece.t0) else _last_inside(bench, piece, start, -1.0)
    high = _last_inside(bench, piece, start, 1.0) if not math.isfinite(piece.t1) else piece.t1
    return piece.between(low, high)


def _last_inside(bench: Bench, piece: Curve, start: float, sense: float) -> float:
    t = start
    for _ in range(400):
        if not bench.room.holds(piece.point_at(t + sense * 0.1)):
            break
        t += sense * 0.1
    return t
