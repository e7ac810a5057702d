"""The polygon route: conditions as shapely polygons at fine sampling (shapely 2.2, GEOS).

Distances become buffers, "nearer to" the union of Voronoi cells of points sampled along
the features, booleans shapely's. Nothing here uses this project's geometry.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from millimark.loci.conditions import (
    AllOf,
    AngleCompared,
    AnyOf,
    BearingBetween,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    Feature,
    Inside,
    LineOf,
    Nearer,
    Not,
    PointOf,
    PolygonOf,
    PolylineOf,
    RatioCompared,
    RayOf,
    SameSide,
    SegmentOf,
    SidesOf,
    SumCompared,
)
from millimark.loci.figure import Figure
from millimark.plane.point import Point

FAR = 40.0  # cm: where lines and rays are cut off
QUARTER = 256  # vertices to a quarter circle
WORLD = shapely.box(-30, -30, 45, 40)


def shape_of(figure: Figure, feature: Feature) -> BaseGeometry:
    """A feature as a shapely geometry."""
    match feature:
        case PointOf(a):
            return shapely.Point(figure.points[a])
        case SegmentOf(a, b):
            return shapely.LineString([figure.points[a], figure.points[b]])
        case RayOf(a, b) | LineOf(a, b):
            p, q = np.array(figure.points[a]), np.array(figure.points[b])
            u = (q - p) / np.hypot(*(q - p))
            start = [p - FAR * u] if isinstance(feature, LineOf) else []
            return shapely.LineString([*start, p, q, p + FAR * u])
        case PolylineOf(labels):
            return shapely.LineString([figure.points[x] for x in labels])
        case PolygonOf(labels):
            return shapely.Polygon([figure.points[x] for x in labels])
        case SidesOf(labels):
            return shapely.Polygon([figure.points[x] for x in labels]).exterior
        case CircleOf(name):
            return disc(figure, name).exterior
        case DiscOf(name):
            return disc(figure, name)
    raise TypeError(feature)


def disc(figure: Figure, name: str) -> BaseGeometry:
    given = next(c for c in figure.circles if c.name == name)
    return shapely.Point(given.centre).buffer(given.radius, quad_segs=QUARTER)


def polygon_of(figure: Figure, condition: Condition, spacing: float = 0.1) -> BaseGeometry:
    """The condition's region inside ``WORLD``."""
    match condition:
        case AllOf(parts):
            return shapely.intersection_all([polygon_of(figure, c, spacing) for c in parts])
        case AnyOf(parts):
            return shapely.union_all([polygon_of(figure, c, spacing) for c in parts])
        case Not(inner):
            return WORLD - polygon_of(figure, inner, spacing)
        case Distance(feature, relation, length):
            near = shape_of(figure, feature).buffer(length, quad_segs=QUARTER)
            return near & WORLD if relation in ("<", "<=") else WORLD - near
        case Inside(PolygonOf(labels)):
            return shapely.Polygon([figure.points[x] for x in labels])
        case Inside(shape):
            return disc(figure, shape.name)
        case SameSide(line, of):
            return half_plane(figure, line, of)
        case Nearer(to, than):
            cells = [cells_of(figure, to, x, spacing, condition.strict) for x in than]
            return shapely.intersection_all(cells) & WORLD
    return compared(figure, condition)


def compared(figure: Figure, condition: Condition) -> BaseGeometry:
    """Sums, ratios, angles and bearings."""
    match condition:
        case SumCompared(a, b, relation, total):
            return signed(ellipse(figure.points[a.label], figure.points[b.label], total), relation)
        case RatioCompared(a, b, relation, ratio):
            return signed(
                apollonius(figure.points[a.label], figure.points[b.label], ratio), relation
            )
        case AngleCompared(a, b, relation, angle):
            seen = seen_over(figure.points[a.label], figure.points[b.label], angle)
            return seen & WORLD if relation in (">", ">=") else WORLD - seen
        case BearingBetween(of, first, last):
            return wedge(figure.points[of.label], first, last) & WORLD
    raise TypeError(condition)


def signed(inside: BaseGeometry, relation: str) -> BaseGeometry:
    """What is inside where less is wanted, the rest where more is."""
    return inside & WORLD if relation in ("<", "<=") else WORLD - inside


def ellipse(f: Point, g: Point, total: float) -> BaseGeometry:
    d = f.distance(g)
    if total <= d:
        return shapely.Polygon()
    a, b = total / 2, math.sqrt(total**2 - d**2) / 2
    unit = shapely.Point(0, 0).buffer(1.0, quad_segs=QUARTER)
    turn = math.degrees((g - f).angle())
    placed = affinity.rotate(affinity.scale(unit, a, b), turn, origin=(0, 0))
    return affinity.translate(placed, (f.x + g.x) / 2, (f.y + g.y) / 2)


def apollonius(a: Point, b: Point, ratio: float) -> BaseGeometry:
    """Where the distance from a is less than ``ratio`` times that from b."""
    square = ratio * ratio
    centre = (a - b * square) * (1 / (1 - square))
    circle = shapely.Point(centre).buffer(
        ratio * a.distance(b) / abs(1 - square), quad_segs=4 * QUARTER
    )
    return circle if ratio < 1 else WORLD - circle


def seen_over(a: Point, b: Point, angle: float) -> BaseGeometry:
    """Where ab is seen at more than ``angle``: two discs together, or what they share."""
    half, seen = a.distance(b) / 2, math.radians(angle)
    up = (b - a).unit().left() * (half / math.tan(seen))
    middle = Point((a.x + b.x) / 2, (a.y + b.y) / 2)
    discs = [
        shapely.Point(p).buffer(half / math.sin(seen), quad_segs=4 * QUARTER)
        for p in (middle + up, middle - up)
    ]
    return discs[0] | discs[1] if angle < 90 else discs[0] & discs[1]


def wedge(at: Point, first: float, last: float) -> BaseGeometry:
    steps = [first + (last - first) * i / 64 for i in range(65)]
    rim = [at.polar(200.0, math.radians(90 - s)) for s in steps]
    return shapely.Polygon([at, *rim])


def half_plane(figure: Figure, line: LineOf, of: PointOf) -> BaseGeometry:
    p, q = np.array(figure.points[line.a]), np.array(figure.points[line.b])
    u = (q - p) / np.hypot(*(q - p))
    side = np.array([-u[1], u[0]])
    if side @ (np.array(figure.points[of.label]) - p) < 0:
        side = -side
    a, b = p - 200 * u, p + 200 * u
    return shapely.Polygon([a, b, b + 200 * side, a + 200 * side]) & WORLD


def samples(geometry: BaseGeometry, spacing: float) -> np.ndarray:
    """Points along a geometry, (N, 2), no further apart than ``spacing`` and from 1e-3 cm on near
    its corners, where the edge of a shared corner's cell lies half way to the next point."""
    if geometry.geom_type == "Polygon":
        geometry = geometry.exterior
    corners = shapely.get_coordinates(geometry)
    if len(corners) > 100:
        # A circle: fewer points, each off the rim by up to 1e-5 cm, since the cells of points on
        # one circle all meet in its centre and GEOS loses them there.
        some = corners[:-1:8]
        middle = some.mean(axis=0)
        off = 1e-5 * np.sin(7.0 * np.arange(len(some)))[:, None]
        return some + (some - middle) * off
    out = [shapely.get_coordinates(shapely.segmentize(geometry, spacing))]
    for a, b in itertools.pairwise(corners):
        run = np.hypot(*(b - a))
        steps = np.geomspace(1e-3, 0.1, 9)
        steps = (steps[steps < run / 2] / run)[:, None]
        out += [a + steps * (b - a), b + steps * (a - b)]
    return np.vstack(out)


def cells_of(
    figure: Figure, to: Feature, than: Feature, spacing: float, strict: bool
) -> BaseGeometry:
    """Where the nearest of all sampled points belongs to ``to``; the cells of points that
    both features share count unless ``strict``."""
    one, two = shape_of(figure, to), shape_of(figure, than)
    near, far = samples(one, spacing), samples(two, spacing)
    points, which = np.unique(np.round(np.vstack([near, far]), 6), axis=0, return_inverse=True)
    ours, theirs = set(which[: len(near)]), set(which[len(near) :])
    cells = shapely.voronoi_polygons(
        shapely.MultiPoint(points), extend_to=shapely.box(-80, -80, 95, 90), ordered=True
    )
    wanted = ours - theirs if strict else ours
    region = together([cells.geoms[i] for i in wanted])
    # Inside a polygon the distance is zero: nearer than to anything outside it.
    inside, beyond = (g if g.geom_type == "Polygon" else shapely.Polygon() for g in (one, two))
    return (region | inside) - beyond if strict else (region - beyond) | inside


def together(cells: list[BaseGeometry]) -> BaseGeometry:
    """The union of neighbouring cells; where GEOS cannot node them, each grown by 1e-7 cm."""
    try:
        return shapely.union_all(cells, grid_size=1e-8)
    except shapely.GEOSException:
        return shapely.union_all(shapely.buffer(cells, 1e-7, join_style="mitre"))
