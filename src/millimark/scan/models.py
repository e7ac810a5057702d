"""Models of how a page came to lie in an image: page millimetres -> pixels.

Each model turns a parameter vector and page points (N, 2) mm into pixels (N, 2). Page
points are centred on the page first; pixels have their centres at integers. ``fit``
minimises the distances in units of each point's sigma, with a weak prior on what the
points may leave free (focal length, lens, bend), by Levenberg and Marquardt's method.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Kind = Literal["affine", "homography", "lens", "bend"]

BENDS = 6
"""Terms in the slope of a bent page."""
_LEAST_CHI2 = 0.02
"""Least scale of a covariance: no points are trusted to a seventh of their stated sigma."""
_STEEPNESS = 0.25
"""Radians of slope that are usual for a page on a desk, over the number of the term."""
_GAUSS_NODES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)
_NODES, _WEIGHTS = (_GAUSS_NODES + 1.0) / 2.0, _GAUSS_WEIGHTS / 2.0


@dataclass(frozen=True)
class Setting:
    """What a model needs to know beside its parameters: page size mm, image size px."""

    width: float
    height: float
    columns: int
    rows: int

    @property
    def half(self) -> float:
        """Half the page's diagonal, mm: the unit of a bend."""
        return math.hypot(self.width, self.height) / 2

    @property
    def span(self) -> float:
        """Half the image's diagonal, px: the unit of lens distortion."""
        return math.hypot(self.columns, self.rows) / 2

    def centred(self, xy: Array) -> Array:
        """Page points from the page's middle."""
        middle = np.array([self.width / 2, self.height / 2])
        return np.asarray(xy - middle, dtype=np.float64)


class Family(Protocol):
    """A kind of model: ``project`` with its parameters, ``prior`` (mean, sigma; inf = free)."""

    @property
    def kind(self) -> Kind:
        """Its name."""

    @property
    def setting(self) -> Setting:
        """Page and image sizes."""

    def project(self, p: Array, xy: Array) -> Array:
        """Pixels (N, 2) of page points (N, 2)."""

    def prior(self) -> tuple[Array, Array]:
        """Mean and standard deviation of each parameter."""


@dataclass(frozen=True)
class Flat:
    """A flat page under an ideal camera: affine (6 parameters) or homography (8)."""

    setting: Setting
    kind: Kind

    def project(self, p: Array, xy: Array) -> Array:
        c = self.setting.centred(xy) / 100.0
        x = p[0] * c[:, 0] + p[1] * c[:, 1] + p[2]
        y = p[3] * c[:, 0] + p[4] * c[:, 1] + p[5]
        if self.kind == "affine":
            return np.column_stack((x, y))
        w = 1.0 + p[6] * c[:, 0] + p[7] * c[:, 1]
        return np.column_stack((x / w, y / w))

    def prior(self) -> tuple[Array, Array]:
        n = 6 if self.kind == "affine" else 8
        return np.zeros(n), np.full(n, np.inf)


@dataclass(frozen=True)
class Camera:
    """A page bent about one direction, seen by a pinhole camera with a radial lens error.

    Parameters: rotation vector (3), place (3) in mm, log(focal length / image diagonal),
    k1, and for a bend: its direction (radians), then the coefficients of the Chebyshev
    polynomials T1, T2 ... (``bends`` of them) in the surface's slope (radians) as a function
    of u, the place along the bend over half the page's diagonal. Paper does not stretch, so
    points keep their distances along the surface (a general cylinder).
    """

    setting: Setting
    kind: Kind
    bends: int = BENDS

    def project(self, p: Array, xy: Array) -> Array:
        c = self.setting.centred(xy)
        body = np.column_stack((c, np.zeros(len(c)))) if self.kind == "lens" else self._bent(p, c)
        rotation = cv2.Rodrigues(np.ascontiguousarray(p[:3]).reshape(3, 1))[0]
        seen = body @ rotation.T + p[3:6]
        depth = np.where(seen[:, 2] > 1.0, seen[:, 2], 1.0)
        focal = math.exp(float(np.clip(p[6], -3.0, 4.0))) * 2.0 * self.setting.span
        flat = seen[:, :2] / depth[:, None] * focal
        r2 = (flat**2).sum(axis=1) / self.setting.span**2
        middle = np.array([(self.setting.columns - 1) / 2, (self.setting.rows - 1) / 2])
        pixels: Array = flat * (1.0 + p[7] * r2)[:, None] + middle
        return pixels

    def _bent(self, p: Array, c: Array) -> Array:
        cos, sin = math.cos(p[8]), math.sin(p[8])
        half = self.setting.half
        u = (c[:, 0] * cos + c[:, 1] * sin) / half
        across = -c[:, 0] * sin + c[:, 1] * cos
        t = u[:, None] * _NODES
        slope = np.polynomial.chebyshev.chebval(t, [0.0, *p[9:]])
        run = half * u * (np.cos(slope) @ _WEIGHTS)
        height = half * u * (np.sin(slope) @ _WEIGHTS)
        return np.column_stack((run * cos - across * sin, run * sin + across * cos, height))

    def prior(self) -> tuple[Array, Array]:
        mean, sigma = [0.0] * 6 + [math.log(0.85), 0.0], [np.inf] * 6 + [0.35, 0.05]
        if self.kind == "bend":
            mean = mean + [0.0] * (1 + self.bends)
            sigma = [*sigma, np.inf, *(_STEEPNESS / k for k in range(1, self.bends + 1))]
        return np.array(mean), np.array(sigma)


@dataclass(frozen=True, eq=False)
class Fitted:
    """A model with its parameters: ``residual`` (N, 2) px, ``cost`` the sum of squares in
    units of sigma (prior included), ``information`` about the parameters, of which there are
    ``free`` ones."""

    family: Family
    parameters: Array
    information: Array
    residual: Array
    cost: float
    free: int = field(default=0)

    @cached_property
    def covariance(self) -> Array:
        """Covariance of the parameters."""
        return np.asarray(np.linalg.pinv(self.information, hermitian=True), dtype=np.float64)

    def px(self, xy: Array) -> Array:
        """Pixels of page points."""
        return self.family.project(self.parameters, np.asarray(xy, dtype=np.float64))

    def jacobian(self, xy: Array, step: float = 0.05) -> Array:
        """d(px)/d(mm) at page points, (N, 2, 2): [..., i, j] of pixel axis i by page axis j."""
        columns = []
        for axis in (np.array([step, 0.0]), np.array([0.0, step])):
            columns.append((self.px(xy + axis) - self.px(xy - axis)) / (2 * step))
        return np.stack(columns, axis=-1)

    def spread(self, xy: Array) -> Array:
        """Standard uncertainty (N,) px of the mapped points from the parameters alone."""
        here = self.family.project(self.parameters, xy).ravel()
        slope = _slopes(lambda p: self.family.project(p, xy).ravel(), self.parameters, here)
        variance = np.einsum("ij,jk,ik->i", slope, self.covariance, slope).reshape(-1, 2)
        return np.asarray(np.sqrt(np.maximum(variance.mean(axis=1), 0.0)), dtype=np.float64)


def fit(
    family: Family, start: Array, xy: Array, px: Array, sigma: Array, steps: int = 40
) -> Fitted:
    """Least squares from ``start`` in at most ``steps`` steps; ``sigma`` (N,) px weighs the
    points."""
    mean, width = family.prior()
    pull = np.where(np.isfinite(width), 1.0 / np.where(np.isfinite(width), width, 1.0), 0.0)
    held = pull > 0.0

    def misfit(p: Array) -> Array:
        off = (family.project(p, xy) - px) / sigma[:, None]
        return np.concatenate((off.ravel(), (p - mean)[held] * pull[held]))

    parameters, information, cost = _marquardt(misfit, start, steps)
    residual = px - family.project(parameters, xy)
    chi2 = float(((residual / sigma[:, None]) ** 2).sum())
    # The scatter that the points show scales what they tell.
    information /= max(_LEAST_CHI2, chi2 / max(2 * len(xy) - len(parameters), 1))
    return Fitted(family, parameters, information, residual, cost, len(parameters))


def _slopes(function: Callable[[Array], Array], p: Array, here: Array) -> Array:
    """Forward differences of ``function`` at ``p``, where it is ``here``: (values, parameters)."""
    slope = np.empty((len(here), len(p)))
    for i in range(len(p)):
        stepped = p.copy()
        step = 1e-7 * max(1.0, abs(float(p[i])))
        stepped[i] += step
        slope[:, i] = (function(stepped) - here) / step
    return slope


def _marquardt(
    misfit: Callable[[Array], Array], start: Array, steps: int
) -> tuple[Array, Array, float]:
    """Parameters, information and cost at the minimum of the summed squares of ``misfit``."""
    p, damp = start.astype(np.float64), 1e-3
    off = misfit(p)
    cost = float(off @ off)
    normal = np.eye(len(p))
    for _ in range(steps):
        slope = _slopes(misfit, p, off)
        normal, gradient = slope.T @ slope, slope.T @ off
        better = False
        for _ in range(8):
            lifted = normal + damp * np.diag(np.maximum(np.diag(normal), 1e-12))
            trial = p - np.linalg.solve(lifted, gradient)
            off_trial = misfit(trial)
            cost_trial = float(off_trial @ off_trial)
            if cost_trial < cost:
                better = True
                break
            damp *= 5.0
        if not better:
            break
        gain = cost - cost_trial
        p, off, cost, damp = trial, off_trial, cost_trial, max(damp * 0.2, 1e-9)
        if gain < 1e-6 * cost + 1e-6:
            break
    return p, normal, cost


def flat_start(setting: Setting, xy: Array, px: Array) -> Array | None:
    """Homography parameters (8) from point pairs by RANSAC; None where they give none.

    The gate is wide (4 % of the page in px) since a curled page is far from flat.
    """
    c = setting.centred(xy) / 100.0
    gate = 0.04 * float(np.ptp(px, axis=0).max())
    matrix, _ = cv2.findHomography(c, px, cv2.RANSAC, max(gate, 3.0))
    if matrix is None or abs(matrix[2, 2]) < 1e-12:
        return None
    h = np.asarray(matrix, dtype=np.float64) / matrix[2, 2]
    return np.array([*h[0], *h[1], h[2, 0], h[2, 1]])


def camera_start(setting: Setting, flat: Array) -> Array:
    """Pose parameters (8: rotation, place, log focal length, k1) from a homography.

    The focal length comes from the homography where its tilt fixes it (two columns of a
    rotation are orthogonal and equally long), else a usual camera's is taken.
    """
    middle = np.array([(setting.columns - 1) / 2, (setting.rows - 1) / 2])
    h = np.array([flat[0:3], flat[3:6], [flat[6], flat[7], 1.0]])
    h[:2] -= middle[:, None] * h[2]
    focal = _focal(h, setting)
    columns = np.diag([1 / focal, 1 / focal, 1.0]) @ h / 100.0
    columns[:, 2] *= 100.0
    scale = 2.0 / (np.linalg.norm(columns[:, 0]) + np.linalg.norm(columns[:, 1]))
    first, second, place = (columns * scale).T
    rough = np.column_stack((first, second, np.cross(first, second)))
    u, _, vt = np.linalg.svd(rough)
    rotation = u @ np.diag([1.0, 1.0, np.linalg.det(u @ vt)]) @ vt
    vector = cv2.Rodrigues(rotation)[0].ravel()
    log_focal = math.log(focal / (2.0 * setting.span))
    return np.array([*vector, *place, log_focal, 0.0])


def _focal(h: Array, setting: Setting) -> float:
    usual = 0.85 * 2.0 * setting.span
    (a, b), (c, d), (e, g) = h[0, :2], h[1, :2], h[2, :2]
    if abs(e * g) > 1e-12:
        square = -(a * b + c * d) / (e * g)
        if (0.4 * usual) ** 2 < square < (3.0 * usual) ** 2:
            return math.sqrt(square)
    return usual
