"""The polygon route: conditions as shapely polygons at fine sampling (shapely 2.2, GEOS).

Distances become buffers, "nearer to" the union of Voronoi cells of points sampled along
the features, booleans shapely's. Nothing here uses this project's geometry.
"""

from __future__ import annotations

import itertools

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from millimark.loci.conditions import (
    AllOf,
    AnyOf,
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
    RayOf,
    SameSide,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure

FAR = 60.0  # cm: where lines and rays are cut off
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


def polygon_of(figure: Figure, condition: Condition, spacing: float = 0.05) -> BaseGeometry:
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
    raise TypeError(condition)


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
    region = shapely.union_all([cells.geoms[i] for i in wanted], grid_size=1e-8)
    # Inside a polygon the distance is zero: nearer than to anything outside it.
    if one.geom_type == "Polygon":
        region = region | one
    if two.geom_type == "Polygon":
        region = region - two
    return region
