"""Which side of the pupil's own lines a place lies on.

A region is shaded by looking at what was drawn: membership is the condition's, with each
boundary that the pupil drew put where the pupil drew it. Paper frame, real mm. Written
apart from ``loci`` on purpose, so that the truth does not lean on what it checks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from millimark.loci.answer import Element
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    AtDistance,
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
from millimark.plane.similarity import Similarity
from millimark.rehearsal.pencil import PencilStroke, Xy

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class PrintedFigure:
    """The figure as printed: ``points`` in paper mm, circles (centre, radius), mm per cm."""

    points: Mapping[str, tuple[float, float]]
    circles: Mapping[str, tuple[float, float, float]]
    mm_per_cm: float


@dataclass(frozen=True)
class OwnDistance:
    """The pupil's line keeps ``mm`` from the feature, on the whole."""

    feature: Feature
    mm: float


@dataclass(frozen=True)
class OwnBalance:
    """The pupil's line between two features. Straight: through ``at`` along ``along``.
    Otherwise the true one moved by ``bias`` mm of difference in distance."""

    features: tuple[Feature, Feature]
    at: tuple[float, float] | None
    along: tuple[float, float] | None
    bias: float


Own = OwnDistance | OwnBalance


def printed_figure(figure: Figure, to_paper: Similarity) -> PrintedFigure:
    """The scaled figure, laid on the paper by ``to_paper``."""
    return PrintedFigure(
        {name: to_paper(p) for name, p in figure.points.items()},
        {c.name: (*to_paper(c.centre), c.radius * to_paper.scale) for c in figure.circles},
        to_paper.scale,
    )


def own_lines(
    elements: Sequence[Element], strokes: Sequence[PencilStroke], figure: PrintedFigure
) -> tuple[Own, ...]:
    """What the pupil's answer lines say; nothing for an element that was not drawn."""
    own: list[Own] = []
    for element in elements:
        mine = [s.xy for s in strokes if s.element == element.name and s.role == "answer"]
        xy = np.concatenate(mine) if mine else np.empty((0, 2))
        if len(xy) < 8:
            continue
        locus = element.locus
        if isinstance(locus, AtDistance):
            own.append(
                OwnDistance(locus.feature, float(distance(locus.feature, figure, xy).mean()))
            )
            continue
        one, two = locus.features[:2]
        if element.kind == "line":
            middle = xy.mean(axis=0)
            _, _, axes = np.linalg.svd(xy - middle, full_matrices=False)
            own.append(OwnBalance((one, two), tuple(middle), tuple(axes[0]), 0.0))
        else:
            gap = distance(one, figure, xy) - distance(two, figure, xy)
            own.append(OwnBalance((one, two), None, None, float(gap.mean())))
    return tuple(own)


def inside(condition: Condition, figure: PrintedFigure, xy: Xy, own: Sequence[Own] = ()) -> Mask:
    """(N,) bool: which points (N, 2) satisfy the condition, by the pupil's lines ``own``."""
    if isinstance(condition, AllOf):
        return _every([inside(c, figure, xy, own) for c in condition.conditions])
    if isinstance(condition, AnyOf):
        return ~_every([~inside(c, figure, xy, own) for c in condition.conditions])
    if isinstance(condition, Not):
        return ~inside(condition.condition, figure, xy, own)
    if isinstance(condition, Distance):
        limit = _own_limit(condition, figure, own)
        near = distance(condition.feature, figure, xy) < limit
        return near if condition.relation in ("<", "<=") else ~near
    if isinstance(condition, Nearer):
        return _every([_nearer(condition.to, o, figure, xy, own) for o in condition.than])
    if isinstance(condition, Inside):
        return within(condition.shape, figure, xy)
    return _same_side(condition, figure, xy)


def _every(masks: Sequence[Mask]) -> Mask:
    return np.asarray(np.all(masks, axis=0), dtype=np.bool_)


def _own_limit(condition: Distance, figure: PrintedFigure, own: Sequence[Own]) -> float:
    asked = condition.length * figure.mm_per_cm
    drawn = [
        o.mm for o in own if isinstance(o, OwnDistance) and _alike(o.feature, condition.feature)
    ]
    return min(drawn, key=lambda mm: abs(mm - asked)) if drawn else asked


def _nearer(to: Feature, than: Feature, figure: PrintedFigure, xy: Xy, own: Sequence[Own]) -> Mask:
    gap = distance(to, figure, xy) - distance(than, figure, xy)
    for line in own:
        if not isinstance(line, OwnBalance) or not _between(line, to, than):
            continue
        if line.at is None or line.along is None:
            bias = line.bias if _alike(line.features[0], to) else -line.bias
            return np.asarray(gap < bias, dtype=np.bool_)
        across = np.array([line.along[1], -line.along[0]])
        probes = np.array(line.at) + 20.0 * np.array([across, -across])
        near, far = distance(to, figure, probes) - distance(than, figure, probes)
        side = (xy - np.array(line.at)) @ across
        return np.asarray(side > 0 if near < far else side < 0, dtype=np.bool_)
    return np.asarray(gap < 0, dtype=np.bool_)


def _between(line: OwnBalance, one: Feature, two: Feature) -> bool:
    a, b = line.features
    return (_alike(a, one) and _alike(b, two)) or (_alike(a, two) and _alike(b, one))


def _alike(a: Feature, b: Feature) -> bool:
    """Equal, or straight pieces of one line: a side and an arm part the same angle."""
    straight = (SegmentOf, RayOf, LineOf)
    if isinstance(a, straight) and isinstance(b, straight):
        return {a.a, a.b} == {b.a, b.b}
    return a == b


def _same_side(condition: SameSide, figure: PrintedFigure, xy: Xy) -> Mask:
    a, b = (np.array(figure.points[label]) for label in (condition.line.a, condition.line.b))
    of = np.array(figure.points[condition.of.label])

    def side(p: Xy) -> NDArray[np.float64]:
        return np.asarray((b[0] - a[0]) * (p[..., 1] - a[1]) - (b[1] - a[1]) * (p[..., 0] - a[0]))

    return np.asarray(side(xy) * side(of) > 0, dtype=np.bool_)


def within(shape: PolygonOf | CircleOf | DiscOf, figure: PrintedFigure, xy: Xy) -> Mask:
    """(N,) bool: inside the polygon (by crossing number) or the circle."""
    if isinstance(shape, (CircleOf, DiscOf)):
        x, y, r = figure.circles[shape.name]
        return np.asarray(np.hypot(xy[:, 0] - x, xy[:, 1] - y) < r, dtype=np.bool_)
    corners = np.array([figure.points[label] for label in shape.labels])
    odd = np.zeros(len(xy), dtype=bool)
    for (x0, y0), (x1, y1) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        spans = (y0 > xy[:, 1]) != (y1 > xy[:, 1])
        if y0 != y1:
            odd ^= spans & (xy[:, 0] < x0 + (xy[:, 1] - y0) * (x1 - x0) / (y1 - y0))
    return odd


def distance(feature: Feature, figure: PrintedFigure, xy: Xy) -> NDArray[np.float64]:
    """(N,) mm: how far points (N, 2) are from the nearest point of the feature."""
    if isinstance(feature, PointOf):
        x, y = figure.points[feature.label]
        return np.hypot(xy[:, 0] - x, xy[:, 1] - y)
    if isinstance(feature, CircleOf):
        x, y, r = figure.circles[feature.name]
        return np.abs(np.hypot(xy[:, 0] - x, xy[:, 1] - y) - r)
    if isinstance(feature, DiscOf):
        x, y, r = figure.circles[feature.name]
        return np.maximum(np.hypot(xy[:, 0] - x, xy[:, 1] - y) - r, 0.0)
    if isinstance(feature, PolygonOf):
        out = distance(SidesOf(feature.labels), figure, xy)
        return np.where(within(feature, figure, xy), 0.0, out)
    if isinstance(feature, SidesOf):
        labels = (*feature.labels, feature.labels[0])
        each = [distance(SegmentOf(a, b), figure, xy) for a, b in pairwise(labels)]
        least: NDArray[np.float64] = np.min(each, axis=0)
        return least
    return _from_straight(feature, figure, xy)


def _from_straight(
    feature: SegmentOf | RayOf | LineOf, figure: PrintedFigure, xy: Xy
) -> NDArray[np.float64]:
    a: Xy = np.array(figure.points[feature.a], dtype=np.float64)
    b: Xy = np.array(figure.points[feature.b], dtype=np.float64)
    length = float(np.hypot(*(b - a)))
    u = (b - a) / length
    low = -np.inf if isinstance(feature, LineOf) else 0.0
    high = length if isinstance(feature, SegmentOf) else np.inf
    away = xy - a - np.clip((xy - a) @ u, low, high)[:, None] * u
    return np.asarray(np.hypot(away[:, 0], away[:, 1]), dtype=np.float64)
