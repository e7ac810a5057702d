"""The curves at the same distance from two features.

Every pair of sites gives a carrier (a line, two lines, a parabola); the bisector is made of the
stretches of carriers along which both distances, now from the whole features, are equal.
Where the two features share an end, points behind it are as near to one as to the
other over a whole area: ``border`` includes the edges of that area, ``bisector`` does not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from millimark.loci.conditions import DiscOf, Feature, LineOf, PointOf, PolygonOf, RayOf
from millimark.loci.figure import Figure
from millimark.loci.focal import constant_difference, constant_sum
from millimark.loci.places import place
from millimark.loci.sites import (
    CircleSite,
    Field,
    PointSite,
    Site,
    StraightSite,
    distance_field,
    own_curves,
    sites,
)
from millimark.plane.conics import ParabolaArc
from millimark.plane.curves import Curve, Line, Ray
from millimark.plane.pieces import kept_each
from millimark.plane.point import EPS, Point, midpoint

Test = Callable[[float, float], bool]
Window = Sequence[Point] | None
PART = 1e-3
"""How far (cm) beside an edge distances are compared: they part as its square, 5e-7 / h at h cm."""
ROUNDING = 1e-12
FILLED = (PolygonOf, DiscOf)
"""Features with an inside at distance zero: where two of them overlap both distances are zero."""


def bisector(figure: Figure, f: Feature, g: Feature) -> list[Curve]:
    """Curves of the points as far from ``f`` as from ``g``; none if the features coincide.

    Two points: their perpendicular bisector. Two lines that cross: both bisectors, that of
    the angle between the given directions first. Two rays from one point: the ray that
    bisects their angle.
    """
    match f, g:
        case PointOf(a), PointOf(b):
            return _of_points(place(figure, a), place(figure, b))
        case LineOf(), LineOf():
            one, two = sites(figure, f)[0], sites(figure, g)[0]
            if isinstance(one, StraightSite) and isinstance(two, StraightSite):
                return _of_straights(one, two)
        case RayOf(a, b), RayOf(c, d) if place(figure, a).distance(place(figure, c)) <= EPS:
            ray = angle_bisector(place(figure, a), place(figure, b), place(figure, d))
            return [ray] if ray else []
    return _general(figure, f, g, with_borders=False)


def border(figure: Figure, f: Feature, g: Feature, window: Window = None) -> list[Curve]:
    """Every curve across which "nearer to f than to g" can change inside the window."""
    match f, g:
        case PointOf(a), PointOf(b):
            return _of_points(place(figure, a), place(figure, b))
    if window is not None:
        one, two = (within_reach(sites(figure, x), window) for x in (f, g))
        if len(one) == len(two) == 1 and not isinstance(f, FILLED) and not isinstance(g, FILLED):
            return _carriers(one[0], two[0])
    match f, g:
        case RayOf(a, b), RayOf(c, d) if place(figure, a).distance(place(figure, c)) <= EPS:
            rays = _of_arms(place(figure, a), place(figure, b), place(figure, d))
            if rays is not None:
                return rays
    return _general(figure, f, g, with_borders=True)


def within_reach(found: Sequence[Site], window: Sequence[Point]) -> list[Site]:
    """The sites that can be nearest to a point of the window (the corners of a convex shape)."""
    out: list[Site] = []
    passed: list[Point] = []
    for site in found:
        if isinstance(site, StraightSite):
            along = [_along(site, p.x, p.y) for p in window]
            lo, hi = min(along), max(along)
            if lo >= site.t0 - EPS:
                passed.append(site.at + site.along * site.t0)
            if hi <= site.t1 + EPS:
                passed.append(site.at + site.along * site.t1)
            if hi > site.t0 + EPS and lo < site.t1 - EPS:
                out.append(site)
        else:
            out.append(site)
    return [
        s
        for s in out
        if not isinstance(s, PointSite) or all(s.at.distance(p) > EPS for p in passed)
    ]


def _of_arms(vertex: Point, p: Point, q: Point) -> list[Curve] | None:
    """The bisector of an angle and the two edges of the wedge behind it, square to the arms; None
    for arms along one line."""
    if vertex.distance(p) <= EPS or vertex.distance(q) <= EPS:
        return None
    one, two = (p - vertex).unit(), (q - vertex).unit()
    turn = one.cross(two)
    if abs(turn) <= 1e-9:
        return None
    if turn < 0:
        one, two = two, one
    bisector = Ray(vertex, (one + two).unit())
    return [bisector, Ray(vertex, -one.left()), Ray(vertex, two.left())]


def angle_bisector(vertex: Point, p: Point, q: Point) -> Ray | None:
    """The ray from ``vertex`` that bisects the angle towards ``p`` and ``q``; None where an arm
    has no direction or both arms are one. A straight angle is bisected on the left of p."""
    if vertex.distance(p) <= EPS or vertex.distance(q) <= EPS:
        return None
    one, two = (p - vertex).unit(), (q - vertex).unit()
    both = one + two
    if abs(one.cross(two)) <= 1e-12:
        return None if both.norm() > 1 else Ray(vertex, one.left())
    return Ray(vertex, both.unit())


def _of_points(a: Point, b: Point) -> list[Curve]:
    if a.distance(b) <= EPS:
        return []
    return [Line(midpoint(a, b), (b - a).unit().left())]


def _of_straights(f: StraightSite, g: StraightSite) -> list[Curve]:
    """Carriers for two straight sites: both bisectors, the midway line, or none if collinear."""
    cross = f.along.cross(g.along)
    if abs(cross) <= 1e-11:
        side = f.along.left()
        off = (g.at - f.at).dot(side)
        if abs(off) <= EPS:
            return []
        return [Line(f.at + side * (off / 2), f.along)]
    t = (g.at - f.at).cross(g.along) / cross
    at = f.at + f.along * t
    return [Line(at, (f.along + g.along).unit()), Line(at, (g.along - f.along).unit())]


def _of_point_and_straight(p: Point, g: StraightSite) -> list[Curve]:
    side = g.along.left()
    off = (p - g.at).dot(side)
    if abs(off) <= EPS:
        return [Line(p, side)]
    axis = side if off > 0 else -side
    return [ParabolaArc(p - axis * (abs(off) / 2), axis, abs(off) / 2)]


def _carriers(f: Site, g: Site) -> list[Curve]:
    """The curves as far from site f as from site g, ends of straights disregarded."""
    match f, g:
        case PointSite(a), PointSite(b):
            return _of_points(a, b)
        case PointSite(a), StraightSite():
            return _of_point_and_straight(a, g)
        case StraightSite(), PointSite(b):
            return _of_point_and_straight(b, f)
        case StraightSite(), StraightSite():
            return _of_straights(f, g)
        case PointSite(a), CircleSite(c, r):
            return _of_point_and_circle(a, c, r)
        case CircleSite(c, r), PointSite(b):
            return _of_point_and_circle(b, c, r)
        case StraightSite(), CircleSite(c, r):
            return _of_straight_and_circle(f, c, r)
        case CircleSite(c, r), StraightSite():
            return _of_straight_and_circle(g, c, r)
        case CircleSite(c, r), CircleSite(d, s):
            return _of_circles(c, r, d, s)
    raise TypeError(f"no carrier for {f} and {g}")


def _of_point_and_circle(p: Point, centre: Point, radius: float) -> list[Curve]:
    """A hyperbola branch for a point outside, an ellipse for one inside, a ray for one on it."""
    d = p.distance(centre)
    if abs(d - radius) <= EPS:
        return [Ray(centre, (p - centre).unit())]
    if d > radius:
        return constant_difference(p, centre, radius)
    return constant_sum(p, centre, radius)


def _of_straight_and_circle(line: StraightSite, centre: Point, radius: float) -> list[Curve]:
    """Two parabolas with the centre as focus: the directrix is the line moved by the radius."""
    side = line.along.left() * radius
    out: list[Curve] = []
    for at in (line.at + side, line.at - side):
        directrix = StraightSite(at, line.along, line.t0, line.t1)
        curves = _of_point_and_straight(centre, directrix)
        if isinstance(curves[0], Line):
            # The circle touches the line: past the centre only one half of the diameter is level.
            curves = [Ray(centre, side.unit()), Ray(centre, -side.unit())]
        out.extend(curves)
    return out


def _of_circles(c: Point, r: float, d: Point, s: float) -> list[Curve]:
    """Of equal overshoot (a hyperbola branch or line), and of one inside, one outside (an ellipse,
    if the circles overlap)."""
    if c.distance(d) <= EPS and abs(r - s) <= EPS:
        return []
    near, far = (c, d) if r <= s else (d, c)
    return constant_difference(near, far, abs(r - s)) + constant_sum(c, d, r + s)


def zone_edges(found: Sequence[Site]) -> list[Curve]:
    """The perpendiculars at the ends of straight sites: where the nearest site changes."""
    return [
        Line(end, site.along.left())
        for site in found
        if isinstance(site, StraightSite)
        for end in site.ends()
    ]


def _general(figure: Figure, f: Feature, g: Feature, with_borders: bool) -> list[Curve]:
    ours, theirs = sites(figure, f), sites(figure, g)
    shared = [s.at for s in ours if isinstance(s, PointSite) and _has_point(theirs, s.at)]
    from_f, from_g = distance_field(figure, f), distance_field(figure, g)

    def level(x: float, y: float) -> bool:
        one = from_f(x, y)
        return abs(one - from_g(x, y)) <= EPS * max(1.0, one)

    def drawn(x: float, y: float) -> bool:
        if not level(x, y):
            return False
        near = from_f(x, y) + EPS
        return all(math.hypot(x - p.x, y - p.y) > near for p in shared) and near > 2 * EPS

    wanted = level if with_borders else drawn
    candidates: list[tuple[Curve, Test]] = []
    for one in ours:
        for two in theirs:
            if not (_ends_at_shared(one, two, shared) or _ends_at_shared(two, one, shared)):
                test = _where_nearest(one, ours, two, theirs, wanted)
                candidates.extend((c, test) for c in _carriers(one, two))
    edges = zone_edges(ours) + zone_edges(theirs)
    own = [c for x in (f, g) for c in own_curves(figure, x)[0]]
    if not with_borders:
        if shared:
            candidates.extend((c, level) for c in edges)
        alone = _bare(from_f, from_g)
        bare = [(c, alone(c, test) if isinstance(c, Line) else test) for c, test in candidates]
        return kept_each(bare, edges + own)
    if shared or (isinstance(f, FILLED) and isinstance(g, FILLED)) or _run_together(ours, theirs):
        candidates.extend((c, level) for c in edges + own)
    return kept_each(candidates, edges)


def _bare(from_f: Field, from_g: Field) -> Callable[[Line, Test], Test]:
    """Tests of a straight candidate, on top of its own: whether the distances differ on both sides
    of it. Where they do not it is the edge of an area of equality."""

    def tested(line: Line, own: Test) -> Test:
        dx, dy = line.direction.left() * PART

        def test(x: float, y: float) -> bool:
            return own(x, y) and all(
                abs(from_f(x + s * dx, y + s * dy) - from_g(x + s * dx, y + s * dy)) > ROUNDING
                for s in (1, -1)
            )

        return test

    return tested


def _where_nearest(
    one: Site, ours: Sequence[Site], two: Site, theirs: Sequence[Site], wanted: Test
) -> Test:
    """``wanted``, but only where the two sites can be the nearest of their features: between a
    straight's ends, and beyond the ends that a point is. Next to where the nearest site
    changes, distances alone cannot tell: they part as the square of the way."""
    zones = [_zone(one, ours), _zone(two, theirs)]

    def test(x: float, y: float) -> bool:
        return all(zone(x, y) for zone in zones) and wanted(x, y)

    return test


def _zone(site: Site, found: Sequence[Site]) -> Test:
    if isinstance(site, StraightSite):
        return lambda x, y: site.t0 <= _along(site, x, y) <= site.t1
    if isinstance(site, PointSite):
        meeting = [
            s
            for s in found
            if isinstance(s, StraightSite) and any(e.distance(site.at) <= EPS for e in s.ends())
        ]
        return lambda x, y: not any(s.t0 < _along(s, x, y) < s.t1 for s in meeting)
    return lambda x, y: True


def _along(site: StraightSite, x: float, y: float) -> float:
    return (x - site.at.x) * site.along.x + (y - site.at.y) * site.along.y


def _run_together(ours: Sequence[Site], theirs: Sequence[Site]) -> bool:
    """Whether a straight of one lies on the line of a straight of the other: points beside both
    are as far from each, over an area."""
    return any(
        isinstance(s, StraightSite)
        and isinstance(t, StraightSite)
        and abs(s.along.cross(t.along)) <= ROUNDING
        and abs(s.along.cross(t.at - s.at)) <= EPS
        for s in ours
        for t in theirs
    )


def _has_point(found: Sequence[Site], p: Point) -> bool:
    return any(isinstance(s, PointSite) and s.at.distance(p) <= EPS for s in found)


def _ends_at_shared(one: Site, two: Site, shared: Sequence[Point]) -> bool:
    """Whether ``one`` is a shared point and ``two`` that point or a straight that ends there:
    their carrier is then the edge of an area of equality, not a bisector."""
    if not isinstance(one, PointSite) or not any(one.at.distance(s) <= EPS for s in shared):
        return False
    if isinstance(two, PointSite):
        return one.at.distance(two.at) <= EPS
    return isinstance(two, StraightSite) and any(one.at.distance(e) <= EPS for e in two.ends())
