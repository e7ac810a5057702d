"""How far places are from the things of a figure, in plain vectorised code.

Paper frame, real mm. Written apart from ``loci`` on purpose, so that the truth does not
lean on what it checks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from millimark.loci.conditions import (
    CircleOf,
    DiscOf,
    Feature,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)
from millimark.loci.figure import Figure
from millimark.plane.similarity import Similarity
from millimark.rehearsal.pencil import Xy

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class PrintedFigure:
    """The figure as printed: ``points`` in paper mm, circles (centre, radius), mm per cm;
    ``figure`` is the same in real cm and ``to_paper`` the way from there."""

    points: Mapping[str, tuple[float, float]]
    circles: Mapping[str, tuple[float, float, float]]
    mm_per_cm: float
    figure: Figure
    to_paper: Similarity


def printed_figure(figure: Figure, to_paper: Similarity) -> PrintedFigure:
    """The scaled figure, laid on the paper by ``to_paper``."""
    return PrintedFigure(
        {name: to_paper(p) for name, p in figure.points.items()},
        {c.name: (*to_paper(c.centre), c.radius * to_paper.scale) for c in figure.circles},
        to_paper.scale,
        figure,
        to_paper,
    )


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
    if isinstance(feature, (SidesOf, PolylineOf)):
        closed = isinstance(feature, SidesOf)
        labels = (*feature.labels, feature.labels[0]) if closed else feature.labels
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
