"""Which circle, which line: robust least-squares fits to points, with their covariance.

Points are (N, 2) float64, any one unit (page mm for strokes); ``sigma`` is the standard
uncertainty of each point across the curve in the same unit, one number or (N,). A fit
that the points do not determine comes back as `NoFit` with its reason.

Errors along one pencil stroke go together. Where only a rough covariance is wanted, ``run``
says how many neighbouring points share one error; with ``wander`` how far the hand's waves reach
is told from the residuals themselves (see ``wander``), which takes some milliseconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from millimark.plane.point import Point
from millimark.scan.medians import median, medians
from millimark.scan.wander import correlated_covariance

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

_TUKEY = 4.685
"""Tukey's biweight constant: 95 % efficiency on Gaussian errors (Beaton and Tukey 1974)."""
_STEPS = 30
_STARTS = 48
_SEED = 20240229


@dataclass(frozen=True)
class NoFit:
    """The points do not determine the curve; ``reason`` says why."""

    reason: str


@dataclass(frozen=True, eq=False)
class CircleFit:
    """A fitted circle.

    ``covariance`` (3, 3) of (centre x, centre y, radius); ``rms`` of the inliers' distances
    from the circle; ``inliers`` (N,) the points that were kept; ``residual`` (N,) signed
    distance of every point, positive outside.
    """

    centre: Point
    radius: float
    covariance: Array
    rms: float
    inliers: Mask
    residual: Array

    @property
    def radius_sigma(self) -> float:
        """Standard uncertainty of the radius."""
        return math.sqrt(float(self.covariance[2, 2]))

    @property
    def centre_sigma(self) -> float:
        """Standard uncertainty of the centre, the larger semi-axis of its ellipse."""
        return math.sqrt(float(np.linalg.eigvalsh(self.covariance[:2, :2])[-1]))


@dataclass(frozen=True, eq=False)
class LineFit:
    """A fitted line: ``point`` the inliers' centroid on it, ``direction`` a unit vector.

    ``covariance`` (2, 2) of (offset across the line at ``point``, angle in radians);
    ``residual`` (N,) signed distance to the left of ``direction``; ``span`` the extent of
    the inliers along the line, as (from, to) measured from ``point``.
    """

    point: Point
    direction: Point
    covariance: Array
    rms: float
    inliers: Mask
    residual: Array
    span: tuple[float, float]

    def offset_sigma(self, along: float = 0.0) -> float:
        """Standard uncertainty across the line at the distance ``along`` from ``point``."""
        gradient = np.array([1.0, along])
        return math.sqrt(float(gradient @ self.covariance @ gradient))


def fit_circle(
    xy: ArrayLike,
    sigma: ArrayLike = 1.0,
    *,
    robust: bool = True,
    run: float = 1.0,
    wander: bool = False,
) -> CircleFit | NoFit:
    """The circle nearest to the points; `NoFit` for fewer than 3 points or a straight row.

    Geometric distances are minimised (Gauss-Newton), weighted by 1/sigma² and, if
    ``robust``, by Tukey's biweight from the best of many circles through three points.
    """
    points, sigmas = _checked(xy, sigma)
    if len(points) < 3:
        return NoFit(f"{len(points)} points do not fix a circle: 3 are needed")
    start = _circle_start(points, sigmas, robust)
    if start is None:
        return NoFit("the points lie on a straight line: no circle is fixed by them")
    fitted = _descend_circle(points, sigmas, start, robust)
    if fitted is None:
        return NoFit("the points are too straight or too few for a circle")
    (cx, cy, radius), weights, residual = fitted
    kept = weights > 0.0
    jacobian = _circle_jacobian(points, cx, cy)[1]
    if wander:
        along = np.arctan2(-jacobian[kept, 1], -jacobian[kept, 0]) * radius
        covariance = correlated_covariance(jacobian[kept], residual[kept], along)
    else:
        normal = ((weights / sigmas**2)[:, None] * jacobian).T @ jacobian
        widen = _widening(residual, sigmas, weights, 3) * max(run, 1.0)
        covariance = _inverse(normal) * widen
    rms = _weighted_rms(residual, weights)
    return CircleFit(Point(cx, cy), radius, covariance, rms, kept, residual)


def fit_line(
    xy: ArrayLike,
    sigma: ArrayLike = 1.0,
    *,
    robust: bool = True,
    run: float = 1.0,
    wander: bool = False,
) -> LineFit | NoFit:
    """The line nearest to the points; `NoFit` for fewer than 2 distinct points."""
    points, sigmas = _checked(xy, sigma)
    if len(points) < 2 or (points == points[0]).all():
        return NoFit("fewer than 2 distinct points do not fix a line")
    weights = _line_start_weights(points, sigmas) if robust else np.ones(len(points))
    believed = 1.0 / sigmas**2
    for _ in range(_STEPS):
        centre, direction = _principal(points, weights * believed)
        normal = np.array([-direction[1], direction[0]])
        residual = (points - centre) @ normal
        if not robust:
            break
        new = _biweight(residual, sigmas)
        settled = bool(np.abs(new - weights).max() < 1e-6)
        weights = new
        if settled:
            break
    along = (points - centre) @ direction
    kept = weights > 0.0
    if wander:
        jacobian = np.column_stack((np.ones(len(points)), along))
        covariance = correlated_covariance(jacobian[kept], residual[kept], along[kept])
    else:
        widen = _widening(residual, sigmas, weights, 2) * max(run, 1.0)
        pull = weights * believed
        lever = float(pull @ along)
        information = np.array([[pull.sum(), lever], [lever, pull @ along**2]])
        covariance = _inverse(information) * widen
    return LineFit(
        Point(float(centre[0]), float(centre[1])),
        Point(float(direction[0]), float(direction[1])),
        covariance,
        _weighted_rms(residual, weights),
        kept,
        residual,
        (float(along[kept].min()), float(along[kept].max())),
    )


def _checked(xy: ArrayLike, sigma: ArrayLike) -> tuple[Array, Array]:
    points = np.asarray(xy, dtype=np.float64).reshape(-1, 2)
    sigmas = np.broadcast_to(np.asarray(sigma, dtype=np.float64), (len(points),))
    if len(points) and not (np.isfinite(points).all() and (sigmas > 0.0).all()):
        raise ValueError("points must be finite and every sigma greater than 0")
    return points, sigmas


def _scale(residual: Array, sigmas: Array) -> float:
    """Robust spread of residual/sigma, never below 1: the stated sigma is believed first."""
    return max(1.0, 1.4826 * median(np.abs(residual) / sigmas))


def _biweight(residual: Array, sigmas: Array) -> Array:
    u = residual / (sigmas * _scale(residual, sigmas) * _TUKEY)
    return np.where(np.abs(u) < 1.0, (1.0 - u**2) ** 2, 0.0)


def _widening(residual: Array, sigmas: Array, weights: Array, parameters: int) -> float:
    """Birge ratio squared, never below 1: scatter beyond the stated sigma widens."""
    freedom = float(weights.sum()) - parameters
    if freedom <= 0.0:
        return 1.0
    return max(1.0, float((weights * (residual / sigmas) ** 2).sum()) / freedom)


def _weighted_rms(residual: Array, weights: Array) -> float:
    return math.sqrt(float((weights * residual**2).sum() / weights.sum()))


def _inverse(normal: Array) -> Array:
    """Inverse of a small symmetric matrix; the least one where it has none."""
    try:
        return np.asarray(np.linalg.inv(normal), dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(normal), dtype=np.float64)


def _principal(points: Array, pull: Array) -> tuple[Array, Array]:
    """Weighted centroid and direction of greatest extent."""
    centre = pull @ points / pull.sum()
    d = points - centre
    moment = (pull[:, None] * d).T @ d
    direction: Array = np.linalg.eigh(moment)[1][:, 1]
    return centre, direction


def _line_start_weights(points: Array, sigmas: Array) -> Array:
    """Biweights about the best of many lines through two points."""
    rng = np.random.default_rng(_SEED)
    pairs = rng.integers(0, len(points), (_STARTS, 2))
    a, b = points[pairs[:, 0]], points[pairs[:, 1]]
    d = b - a
    length = np.hypot(d[:, 0], d[:, 1])
    good = length > 1e-12
    if not good.any():
        return np.ones(len(points))
    a, d = a[good], d[good] / length[good, None]
    off = (points[None, :, 0] - a[:, None, 0]) * -d[:, None, 1] + (
        points[None, :, 1] - a[:, None, 1]
    ) * d[:, None, 0]
    best = off[np.argmin(medians(np.abs(off) / sigmas))]
    weights = _biweight(best, sigmas)
    return weights if (weights > 0).sum() >= 2 else np.ones(len(points))


def _circle_start(points: Array, sigmas: Array, robust: bool) -> Array | None:
    """(cx, cy, r): algebraic fit of all points, or the best circle through three of them."""
    shift = points.mean(axis=0)
    algebraic = _kasa(points - shift)
    found = None if algebraic is None else algebraic + np.array([*shift, 0.0])
    if not robust or len(points) < 5:
        return found
    candidates = _three_point_circles(points)
    if found is not None:
        candidates = np.vstack((candidates, found))
    if not len(candidates):
        return None
    distance = np.hypot(
        points[None, :, 0] - candidates[:, None, 0], points[None, :, 1] - candidates[:, None, 1]
    )
    off = np.abs(distance - candidates[:, None, 2]) / sigmas
    best: Array = candidates[np.argmin(medians(off))]
    return best


def _kasa(points: Array) -> Array | None:
    """Algebraic least-squares circle (Kåsa 1976); None where the points are straight."""
    system = np.column_stack((2.0 * points, np.ones(len(points))))
    solution, _, rank, singular = np.linalg.lstsq(system, (points**2).sum(axis=1), rcond=None)
    if rank < 3 or singular[-1] < 1e-9 * singular[0]:
        return None
    cx, cy, c = solution
    square = c + cx**2 + cy**2
    return np.array([cx, cy, math.sqrt(square)]) if square > 0.0 else None


def _three_point_circles(points: Array) -> Array:
    """Circles (M, 3) through seeded triples spread over the points; straight ones dropped."""
    rng = np.random.default_rng(_SEED)
    triples = points[rng.integers(0, len(points), (_STARTS, 3))]
    a, b, c = triples[:, 0], triples[:, 1], triples[:, 2]
    u, v = b - a, c - a
    twice = 2.0 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    size = np.hypot(*u.T) * np.hypot(*v.T)
    good = np.abs(twice) > 1e-6 * np.maximum(size, 1e-300)
    u, v, a, twice = u[good], v[good], a[good], twice[good]
    uu, vv = (u**2).sum(axis=1), (v**2).sum(axis=1)
    dx = (v[:, 1] * uu - u[:, 1] * vv) / twice
    dy = (u[:, 0] * vv - v[:, 0] * uu) / twice
    return np.column_stack((a[:, 0] + dx, a[:, 1] + dy, np.hypot(dx, dy)))


def _circle_jacobian(points: Array, cx: float, cy: float) -> tuple[Array, Array]:
    """Distances (N,) from the centre and the derivatives (N, 3) of the distances from the circle
    by (cx, cy, r)."""
    inward = np.array([cx, cy]) - points
    rho = np.hypot(inward[:, 0], inward[:, 1])
    jacobian = np.full((len(points), 3), -1.0)
    jacobian[:, :2] = inward / np.maximum(rho, 1e-12)[:, None]
    return rho, jacobian


def _descend_circle(
    points: Array, sigmas: Array, start: Array, robust: bool
) -> tuple[tuple[float, float, float], Array, Array] | None:
    """Gauss-Newton with damping from ``start``; None where it runs off to a straight line."""
    cx, cy, radius = (float(v) for v in start)
    reach = 1e4 * max(float(np.ptp(points, axis=0).max()), 1e-9)
    weights = np.ones(len(points))
    believed = 1.0 / sigmas**2
    for _ in range(_STEPS):
        rho, jacobian = _circle_jacobian(points, cx, cy)
        residual = rho - radius
        weights = _biweight(residual, sigmas) if robust else weights
        if int((weights > 0).sum()) < 3:
            return None
        pulled = (weights * believed)[:, None] * jacobian
        normal = pulled.T @ jacobian
        normal.flat[::4] *= 1.0 + 1e-9
        step = np.linalg.solve(normal, -(residual @ pulled))
        cx, cy, radius = cx + float(step[0]), cy + float(step[1]), radius + float(step[2])
        if not (0.0 < radius < reach):
            return None
        if float(np.abs(step).max()) < 1e-10 * max(radius, 1.0):
            break
    residual = np.hypot(points[:, 0] - cx, points[:, 1] - cy) - radius
    return (cx, cy, radius), weights, residual
