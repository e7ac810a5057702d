"""Parallels through a point (Euclid I.31, by a rhombus) and copies of segments and angles
(Euclid I.3, I.23)."""

from __future__ import annotations

import math

from millimark.plane.point import Point
from millimark.working.acts import Role
from millimark.working.bench import Bench
from millimark.working.bisectors import short_arc
from millimark.working.choosing import lattice
from millimark.working.drawn import PAST
from millimark.working.perpendiculars import line_over
from millimark.working.wording import cm

WHY_PARALLEL = "Four equal radii make a rhombus, and opposite sides of a rhombus are parallel."
WHY_COPY = (
    "The radii from both vertices are equal, and so are the openings across; the triangles have "
    "three equal sides (SSS) and are congruent, so the angles are equal."
)
WHY_SEGMENT = "The compasses carry the length over unchanged."


def parallel_through(
    bench: Bench, p: str, a: str, b: str, ends: tuple[float, float], role: Role = "answer"
) -> str:
    """Rule the parallel to ``a`` ``b`` through ``p``, from ``ends[0]`` to ``ends[1]`` cm from
    ``p`` in the direction from ``a`` to ``b``; its ink."""
    at, ahead = bench.points[p], (bench.points[b] - bench.points[a]).unit()
    foot = bench.points[a] + ahead * (at - bench.points[a]).dot(ahead)
    d = at.distance(foot)
    sense = 1 if bench.room_after(at, ahead) >= bench.room_after(at, -ahead) else -1
    least = max(bench.instruments.compasses_min_cm, 1.05 * d)
    most = bench.instruments.compasses_cm
    r = bench.free("side of the rhombus", least, most, _good_side(bench, at, foot, ahead * sense))
    step = ahead * (sense * r)
    first = foot - ahead * (sense * math.sqrt(r * r - d * d))
    second, last = first + step, at + step
    name = bench.pair(a, b)
    line = line_over(bench, a, b, (first + second) * 0.5, r / 2 + 0.3)
    bench.open_to(
        r, f"Open the compasses so that they reach from {bench.call(p)} past {name}: {cm(r)}.",
        free=True,
    )  # fmt: skip
    on_p = f"With the needle on {bench.call(p)}"
    cut = bench.cross(
        line, bench.strike_at(p, first, f"{on_p}, strike an arc that cuts {name}."), first
    )
    far = bench.strike_at(p, last, f"{on_p}, strike another arc on the side of the parallel.")
    next_cut = bench.cross(
        line,
        bench.strike_at(cut, second, f"With the needle on the cut, strike an arc along {name}."),
        second,
    )
    back = bench.strike_at(
        next_cut, last, "With the needle on the new cut, strike an arc across the other one."
    )
    corner = bench.cross(far, back, last)
    span = ends if sense > 0 else (-ends[1], -ends[0])
    caption = f"Rule the line from {bench.call(p)} through the crossing."
    return bench.rule(p, corner, *span, role, caption)


def _good_side(bench: Bench, at: Point, foot: Point, ahead: Point) -> float:
    """The side of the rhombus nearest to 1.35 times the distance whose arcs stay in the room;
    that itself where none does."""
    d = at.distance(foot)
    wanted = round(max(1.35 * d, 2.5), 1)
    least = max(bench.instruments.compasses_min_cm, 1.05 * d)

    def fits(r: float) -> bool:
        first = foot - ahead * math.sqrt(r * r - d * d)
        last = at + ahead * r
        return all(
            bench.fits(short_arc(centre, place, r))
            for centre, place in (
                (at, first), (at, last), (first, first + ahead * r), (first + ahead * r, last),
            )
        )  # fmt: skip

    openings = sorted(lattice(least, bench.instruments.compasses_cm), key=lambda r: abs(r - wanted))
    return next((r for r in openings if fits(r)), wanted)


def copy_segment(bench: Bench, a: str, b: str, c: str, d: str, shown: bool = True) -> str:
    """Carry the length ``a`` ``b`` to the line from ``c`` towards ``d``; the mark at its end."""
    length = bench.points[a].distance(bench.points[b])
    ahead = (bench.points[d] - bench.points[c]).unit()
    end = bench.points[c] + ahead * length
    line = bench.line_through(c, d)
    if bench.points[c].distance(bench.points[d]) < length:
        line = line_over(bench, c, d, end, 0.3)
    bench.open_between(a, b, f"Open the compasses from {bench.call(a)} to {bench.call(b)}.")
    arc = bench.strike_at(
        c, end, f"With the needle on {bench.call(c)}, strike an arc across the line.", 0.4
    )
    return bench.cross(line, arc, end, "Call the crossing ?.", shown)


def copy_angle(
    bench: Bench, angle: tuple[str, str, str], w: str, x: str, side: int, role: Role = "answer"
) -> str:
    """Copy the angle ``angle`` = (p, v, q) to the ray from ``w`` through ``x``, on its left
    (``side`` +1) or right (-1); the ink of the new arm."""
    p, v, q = angle
    at, home = bench.points[v], bench.points[w]
    arms = [(bench.points[n] - at).unit() for n in (p, q)]
    size = math.acos(max(-1.0, min(1.0, arms[0].dot(arms[1]))))
    reach = min(at.distance(bench.points[p]), at.distance(bench.points[q]),
                home.distance(bench.points[x]))  # fmt: skip
    smallest = bench.instruments.compasses_min_cm
    least = max(smallest, smallest / (2 * math.sin(size / 2)))
    r = bench.free(
        "opening about the vertex",
        least,
        bench.short_of(reach, least),
        round(min(0.8 * reach, 6.0), 1),
    )
    bench.open_to(r, f"Open the compasses to any handy length, say {cm(r)}.", free=True)
    cuts = [
        bench.cross(
            bench.line_through(v, n),
            bench.strike_at(
                v, at + arm * r, f"With the needle on {bench.call(v)}, strike an arc across "
                f"{bench.pair(v, n)}.", 0.4,
            ),
            at + arm * r,
        )
        for n, arm in zip((p, q), arms, strict=True)
    ]  # fmt: skip
    zero = (bench.points[x] - home).angle()
    starts = [home.polar(r, zero), home.polar(r, zero + side * size)]
    on_w = f"With the needle on {bench.call(w)}"
    first = bench.cross(
        bench.line_through(w, x),
        bench.strike_at(w, starts[0], f"{on_w}, strike the same arc across {bench.pair(w, x)}."),
        starts[0],
    )
    far = bench.strike_at(w, starts[1], f"{on_w}, carry the arc on round.")
    bench.open_between(cuts[0], cuts[1], "Open the compasses from one cut to the other.")
    across = bench.strike_at(
        first, starts[1], "With the needle on the new cut, strike an arc across the long one."
    )
    corner = bench.cross(far, across, starts[1])
    end = min(max(r + PAST, 4.0), bench.space(w, (starts[1] - home).unit()))
    caption = f"Rule the line from {bench.call(w)} through the crossing."
    return bench.rule(w, corner, 0.0, end, role, caption)
