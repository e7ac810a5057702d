"""Distances between strokes and loci by dense sampling: plain code, on purpose.

The truth must not lean on the measuring that it is there to check, so nothing here comes
from ``scan`` or ``marking``. Paper frame, real mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import Point
from millimark.rehearsal.pencil import Xy, resampled

Values = NDArray[np.float64]
Frame = tuple[float, float, float, float]
SAMPLE = 0.2
"""Spacing of samples along a locus, mm."""


def distance_to_curves(xy: Xy, curves: Sequence[Curve]) -> Values:
    """(N,) mm from each point (N, 2) to the nearest of the curves; inf if there are none."""
    best = np.full(len(xy), np.inf)
    for curve in curves:
        best = np.minimum(best, _distance(xy, curve))
    return best


def _distance(xy: Xy, curve: Curve) -> Values:
    if isinstance(curve, Arc):
        return _from_arc(xy, curve)
    if isinstance(curve, (Segment, Ray, Line)):
        a, u = np.array(curve.anchor), np.array(curve.direction)
        t = np.clip((xy - a) @ u, curve.t0, curve.t1)
        away = xy - a - t[:, None] * u
        return np.asarray(np.hypot(away[:, 0], away[:, 1]), dtype=np.float64)
    middle = Point(float(xy[:, 0].mean()), float(xy[:, 1].mean()))
    reach = float(np.ptp(xy, axis=0).max()) + 100.0
    return distance_to_points(xy, resampled(clipped(curve, middle, reach).sampled(1e-3), 0.02))


def clipped(curve: Curve, middle: Point, reach: float) -> Curve:
    """A bounded curve as it is; of an endless one, all that lies within ``reach`` mm of the
    place nearest to ``middle``."""
    near = curve.nearest(middle)
    ends = []
    for end, way in ((curve.t0, -1.0), (curve.t1, 1.0)):
        step = 0.05
        while not math.isfinite(end):
            if curve.point_at(near + way * step).distance(curve.point_at(near)) > reach:
                end = near + way * step
            step *= 1.3
        ends.append(end)
    return curve if curve.bounded else curve.between(ends[0], ends[1])


def _from_arc(xy: Xy, arc: Arc) -> Values:
    out = xy - np.array(arc.centre)
    reach = np.hypot(out[:, 0], out[:, 1])
    turn = (arc.sense * (np.arctan2(out[:, 1], out[:, 0]) - arc.from_)) % (2 * math.pi)
    ends = np.array([arc.start, arc.end])
    to_end = np.min([np.hypot(*(xy - e).T) for e in ends], axis=0)
    inside = (turn <= arc.t1) | arc.is_whole
    return np.asarray(np.where(inside, np.abs(reach - arc.radius), to_end), dtype=np.float64)


def distance_to_points(xy: Xy, points: Xy) -> Values:
    """(N,) mm from each point (N, 2) to the nearest of ``points`` (M, 2); inf if none."""
    from scipy.spatial import cKDTree

    if len(points) == 0:
        return np.full(len(xy), np.inf)
    return np.asarray(cKDTree(points).query(xy)[0], dtype=np.float64)


def samples(curve: Curve, frame: Frame) -> Xy:
    """Points every ``SAMPLE`` mm along a curve, those inside the frame only; may be empty."""
    middle = Point((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    piece = clipped(curve, middle, math.hypot(frame[2] - frame[0], frame[3] - frame[1]))
    xy = resampled(piece.sampled(1e-3), SAMPLE)
    inside = (
        (xy[:, 0] >= frame[0]) & (xy[:, 0] <= frame[2])
        & (xy[:, 1] >= frame[1]) & (xy[:, 1] <= frame[3])
    )  # fmt: skip
    return np.asarray(xy[inside], dtype=np.float64)


def direction_near(curves: Sequence[Curve], at: Point) -> Point:
    """Tangent of the nearest curve at its point nearest to ``at``."""
    curve = min(curves, key=lambda c: c.distance_to(at))
    return curve.direction_at(curve.nearest(at))


def circle_through(xy: Xy) -> tuple[float, float, float] | None:
    """Least-squares circle (x, y, radius) of points (N, 2); None for fewer than 5 points
    or points on a line."""
    if len(xy) < 5:
        return None
    from scipy.optimize import least_squares

    middle = xy.mean(axis=0)
    p = xy - middle
    a = np.column_stack((p, np.ones(len(p))))
    solved, _, rank, _ = np.linalg.lstsq(a, (p**2).sum(axis=1), rcond=None)
    square = solved[2] + (solved[0] ** 2 + solved[1] ** 2) / 4
    if rank < 3 or square <= 0:
        return None
    start = np.array([solved[0] / 2, solved[1] / 2, math.sqrt(square)])

    def misfit(v: Values) -> Values:
        return np.asarray(np.hypot(p[:, 0] - v[0], p[:, 1] - v[1]) - v[2])

    x, y, r = least_squares(misfit, start).x
    return float(x + middle[0]), float(y + middle[1]), float(abs(r))
