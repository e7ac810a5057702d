"""The elements of an answer: what a pupil draws, by name and construction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from millimark.loci.answer import Element
from millimark.loci.bisectors import angle_bisector, bisector
from millimark.loci.conditions import (
    Equidistant,
    LineOf,
    Locus,
    RayOf,
    SegmentOf,
)
from millimark.loci.figure import Figure
from millimark.loci.names import angle_bisector_name, locus_name
from millimark.loci.offsets import Traces
from millimark.loci.places import place
from millimark.loci.tracing import curves_of
from millimark.plane.curves import Curve, Line
from millimark.plane.pieces import MERGE

Kind = Literal["line", "arc", "path"]


def elements_of(
    figure: Figure, locus: Locus, needed: Sequence[Curve], whole: Traces | None = None
) -> list[Element]:
    """The elements that draw ``locus``, of which ``needed`` is wanted; ``whole`` is all of it
    where that is known already.

    One element, but two where a locus is drawn by two constructions (both bisectors of two
    lines). Two segments that share an end and need only the bisector of their angle
    give that bisector.
    """
    if isinstance(locus, Equidistant):
        match locus.features:
            case (SegmentOf(a, b), SegmentOf(c, d)):
                found = _of_sides(figure, (a, b), (c, d), needed)
                if found is not None:
                    return [found]
            case (LineOf(), LineOf()):
                return _of_lines(figure, locus, needed)
    curves = (whole or curves_of(figure, locus)).curves
    return [Element(locus_name(locus), _kind(curves), locus, curves, tuple(needed))]


def _kind(curves: Sequence[Curve]) -> Kind:
    kinds = {c.kind for c in curves}
    if kinds == {"arc"}:
        return "arc"
    if len(curves) == 1 and kinds <= {"segment", "ray", "line"}:
        return "line"
    return "path"


def _of_sides(
    figure: Figure, f: tuple[str, str], g: tuple[str, str], needed: Sequence[Curve]
) -> Element | None:
    """The bisector of the angle between two sides, if nothing else is needed."""
    shared = [label for label in f if label in g]
    if len(shared) != 1 or f[0] == f[1] or g[0] == g[1]:
        return None
    vertex = shared[0]
    (a,), (b,) = [x for x in f if x != vertex], [x for x in g if x != vertex]
    ray = angle_bisector(place(figure, vertex), place(figure, a), place(figure, b))
    if ray is None or not all(lies_on(c, ray) for c in needed):
        return None
    arms = Equidistant((RayOf(vertex, a), RayOf(vertex, b)))
    return Element(angle_bisector_name(vertex, a, b), "line", arms, (ray,), tuple(needed))


def lies_on(curve: Curve, whole: Curve) -> bool:
    """Whether a straight or circular ``curve`` is part of ``whole``; False for other kinds."""
    if curve.kind not in ("segment", "ray", "line", "arc"):
        return False
    lo, hi = max(curve.t0, -1e3), min(curve.t1, 1e3)
    return all(whole.distance_to(curve.point_at(t)) <= 10 * MERGE for t in (lo, (lo + hi) / 2, hi))


def _of_lines(figure: Figure, locus: Equidistant, needed: Sequence[Curve]) -> list[Element]:
    """One element for each bisector of two lines; the line midway if they are parallel."""
    curves = bisector(figure, *locus.features)
    f, g = locus.features
    if not isinstance(f, LineOf) or not isinstance(g, LineOf):
        return []
    out: list[Element] = []
    for i, line in enumerate(curves):
        if len(curves) == 1:
            name = f"line midway between {f.a}{f.b} and {g.a}{g.b}"
        else:
            name = _line_bisector_name(figure, f, g, i)
        mine = tuple(c for c in needed if lies_on(c, line))
        out.append(Element(name, "line", locus, (line,), mine))
    return out


def _line_bisector_name(figure: Figure, f: LineOf, g: LineOf, i: int) -> str:
    """Of an angle with letters if the lines share one, else of the acute or obtuse angle."""
    shared = [label for label in (f.a, f.b) if label in (g.a, g.b)]
    if len(shared) == 1:
        v = shared[0]
        a, b = (f.b if f.a == v else f.a), (g.b if g.a == v else g.a)
        arms = [(place(figure, x) - place(figure, v)).unit() for x in (a, b)]
        line = bisector(figure, f, g)[i]
        within = isinstance(line, Line) and abs(line.direction.dot(arms[0] + arms[1])) > abs(
            line.direction.dot(arms[0] - arms[1])
        )
        name = angle_bisector_name(v, a, b)
        return name if within else f"bisector of the angle next to angle {name[-3:]}"
    one = place(figure, f.b) - place(figure, f.a)
    two = place(figure, g.b) - place(figure, g.a)
    cosine = one.dot(two)
    if abs(cosine) <= 1e-9 * one.norm() * two.norm():
        return f"{('first', 'second')[i]} bisector of the angles between {f.a}{f.b} and {g.a}{g.b}"
    which = "acute" if (cosine > 0) == (i == 0) else "obtuse"
    return f"bisector of the {which} angle between {f.a}{f.b} and {g.a}{g.b}"
