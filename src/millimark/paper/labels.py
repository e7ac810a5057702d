"""Where the labels of points go: clear of every line, of the answer, of each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.drawing.canvas import Lettering
from millimark.drawing.lettering import text_box, text_width
from millimark.drawing.look import POINT_LABEL
from millimark.paper.formats import Box
from millimark.plane.curves import Curve
from millimark.plane.point import Point

CROSS = 1.3  # mm from the centre of a cross to its ends
ENOUGH = 1.2  # mm of clearance beyond which more does not help
_SAGITTA = 0.05  # mm
_SPACING = 0.4  # mm between the places at which a line is tested
_REACHES = (2.6, 3.2, 4.0, 5.0, 6.5)  # mm from the point to the middle of its label's near edge
_TURNS = 24
_NEAR = 24.0  # mm: no label reaches further from its point


@dataclass(frozen=True)
class Label:
    """A label: its text, where its baseline starts from, the box of its ink, its clearance."""

    text: str
    at: Point
    box: Box
    clearance: float


def place_labels(
    points: Sequence[tuple[str, Point]],
    curves: Sequence[Curve],
    frame: Box,
    lettering: Lettering = POINT_LABEL,
) -> tuple[Label, ...]:
    """A label for each point, in order; as near its point as clearance allows.

    ``curves`` (page mm, bounded) are what no label may touch. Where nothing is clear by
    ``ENOUGH``, the place with the largest clearance is taken: ``clearance`` says so.
    """
    obstacles = np.vstack((sampled(curves), sampled_crosses([p for _, p in points])))
    centre = _middle([p for _, p in points])
    placed: list[Label] = []
    for name, point in points:
        places, costs = _candidates(name, point, centre, lettering)
        x0, y0, x1, y1 = text_box(name, Point(0.0, 0.0), lettering)
        boxes = np.hstack((places, places)) + np.array([x0, y0, x1, y1])
        clear = _clearances(boxes, point, obstacles, placed, frame)
        best = int(np.argmin(costs + 12.0 * np.maximum(0.0, ENOUGH - clear)))
        at = Point(float(places[best, 0]), float(places[best, 1]))
        placed.append(Label(name, at, text_box(name, at, lettering), float(clear[best])))
    return tuple(placed)


def _candidates(
    name: str, point: Point, centre: Point, lettering: Lettering
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Baseline places (N, 2) round the point and their cost (N,): far is dear, inwards a little."""
    half = np.array([text_width(name, lettering.height) / 2, lettering.height / 2])
    turn = np.tile(2 * np.pi * np.arange(_TURNS) / _TURNS, len(_REACHES))
    reach = np.repeat(np.array(_REACHES), _TURNS)
    way = np.column_stack((np.cos(turn), -np.sin(turn)))
    places = np.array(point) + way * (reach[:, None] - 1.0 + half) + np.array([0.0, half[1]])
    away = np.array(point - centre)
    far = float(np.hypot(*away))
    inward = -(way @ away) / far if far > 1.0 else np.zeros(len(way))
    slant = np.abs(way[:, 0] * way[:, 1])  # slanting places read best beside a cross
    costs = 0.8 * reach + 0.5 * inward - 0.4 * slant + np.where(way[:, 1] > 0, 0.1, 0.0)
    return places, costs


def _clearances(
    b: NDArray[np.float64],
    point: Point,
    obstacles: NDArray[np.float64],
    placed: Sequence[Label],
    frame: Box,
) -> NDArray[np.float64]:
    """Least distance (N,) from boxes (N, 4) to any line, cross, label or frame; < 0 outside it.

    Only what lies within ``_NEAR`` of the point can matter.
    """
    near = obstacles[np.abs(obstacles - np.array(point)).max(axis=1) < _NEAR]
    found = np.min(
        (b[:, 0] - frame[0], b[:, 1] - frame[1], frame[2] - b[:, 2], frame[3] - b[:, 3]), axis=0
    )
    if len(near):
        dx = np.maximum(np.maximum(b[:, :1] - near[:, 0], near[:, 0] - b[:, 2:3]), 0.0)
        dy = np.maximum(np.maximum(b[:, 1:2] - near[:, 1], near[:, 1] - b[:, 3:4]), 0.0)
        found = np.minimum(found, np.hypot(dx, dy).min(axis=1))
    for other in placed:
        x0, y0, x1, y1 = other.box
        dx = np.maximum(np.maximum(b[:, 0] - x1, x0 - b[:, 2]), 0.0)
        dy = np.maximum(np.maximum(b[:, 1] - y1, y0 - b[:, 3]), 0.0)
        found = np.minimum(found, np.hypot(dx, dy))
    return np.asarray(found, dtype=np.float64)


def distance_to_box(box: Box, xy: NDArray[np.float64]) -> float:
    """Least distance from a box to points (N, 2); 0 where one lies inside; inf without points."""
    if len(xy) == 0:
        return math.inf
    dx = np.maximum(np.maximum(box[0] - xy[:, 0], xy[:, 0] - box[2]), 0.0)
    dy = np.maximum(np.maximum(box[1] - xy[:, 1], xy[:, 1] - box[3]), 0.0)
    return float(np.hypot(dx, dy).min())


def sampled(curves: Sequence[Curve]) -> NDArray[np.float64]:
    """Points (N, 2) along bounded curves, at most ``_SPACING`` apart."""
    parts = [_dense(c.sampled(_SAGITTA)) for c in curves]
    return np.vstack(parts) if parts else np.empty((0, 2))


def sampled_crosses(points: Sequence[Point]) -> NDArray[np.float64]:
    """Points (N, 2) on the crosses round labelled points."""
    t = np.linspace(-CROSS, CROSS, 9)
    arms = np.vstack((np.column_stack((t, 0 * t)), np.column_stack((0 * t, t))))
    if not points:
        return np.empty((0, 2))
    return np.vstack([arms + np.array(p) for p in points])


def _dense(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """A polyline's points with more put between those that are far apart."""
    steps = np.hypot(*np.diff(xy, axis=0).T)
    s = np.concatenate(([0.0], np.cumsum(steps)))
    n = max(2, math.ceil(s[-1] / _SPACING) + 1)
    t = np.linspace(0.0, s[-1], n)
    dense: NDArray[np.float64] = np.column_stack(
        (np.interp(t, s, xy[:, 0]), np.interp(t, s, xy[:, 1]))
    )
    return dense


def _middle(points: Sequence[Point]) -> Point:
    n = max(len(points), 1)
    return Point(sum(p.x for p in points) / n, sum(p.y for p in points) / n)
