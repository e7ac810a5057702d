"""How sure a fit is when neighbouring errors go together: the wander of a hand along its line.

A hand's line leaves its ideal in waves of some millimetres to centimetres. A fit of three
numbers to a short arc follows part of a wave, so its residuals look better than it is. Here the
wander is a stationary Gaussian process along the line; its length and size are not known and are
averaged over, weighted by the restricted likelihood of the residuals (Patterson and Thompson
1971: what the fit could not follow) and by what hands usually do. Any one unit of length,
millimetres where the constants speak of it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_LENGTHS_MM = {0.8: 0.35, 1.6: 0.4, 3.2: 0.2, 6.4: 0.05}
"""Correlation lengths that are tried, from the pencil's grain to slow waves of the arm, and how
usual each is: common practice, no source."""
_WHITE = (0.002, 0.03, 0.5)
"""Shares of the variance that are independent from point to point."""
_USUAL_MM, _BELIEF = 0.04, 1.0
"""A careful line's wander, rms mm (common practice, no source), and how many independent
residuals that belief is worth."""
_BLOCKS = 36
"""Neighbouring points are averaged to so many: nearer than the waves are long they say nothing
new."""


def correlated_covariance(jacobian: Array, residual: Array, place: Array) -> Array:
    """Covariance (P, P) of a least-squares fit whose residuals (N,) wander along the line.

    ``jacobian`` (N, P) of the residuals; ``place`` (N,) where along the line. Fewer than P + 2
    points: infinite variances.
    """
    order = np.argsort(place, kind="stable")
    j, r, s = (_averaged(values[order]) for values in (jacobian, residual, place))
    free = len(r) - j.shape[1]
    if free < 2:
        return np.diag(np.full(j.shape[1], math.inf))
    q, _ = np.linalg.qr(j, mode="complete")
    rest = q[:, j.shape[1] :]  # what the fit cannot follow
    seen = rest.T @ r
    distance = np.abs(s[:, None] - s[None, :])
    pseudo = np.linalg.pinv(j)
    lengths, usual = np.array(list(_LENGTHS_MM.items())).T
    smooth = np.exp(-0.5 * (distance / lengths[:, None, None]) ** 2)
    white = np.array(_WHITE)[:, None, None, None]
    like = ((1.0 - white) * smooth + white * np.eye(len(r))).reshape(-1, len(r), len(r))
    logs, variances = _restricted(rest.T @ like @ rest, seen, free)
    logs = logs + np.tile(np.log(usual), len(_WHITE))
    weights = np.exp(logs - logs.max())
    covariances = variances[:, None, None] * (pseudo @ like @ pseudo.T)
    mean: Array = np.tensordot(weights / weights.sum(), covariances, axes=1)
    return mean


def _averaged(values: Array) -> Array:
    """Means (B, ...) of up to `_BLOCKS` runs of neighbours."""
    edges = np.unique(np.linspace(0, len(values), _BLOCKS + 1).round().astype(int))
    sizes = np.diff(edges).reshape(-1, *[1] * (values.ndim - 1))
    mean: Array = np.add.reduceat(values, edges[:-1], axis=0) / sizes
    return mean


def _restricted(like: Array, seen: Array, free: int) -> tuple[Array, Array]:
    """For each of the matrices (K, M, M): log of the likelihood with the size integrated out, and
    the expected variance: an inverse gamma belief in the usual size meets the residuals."""
    factor = np.linalg.cholesky(like)
    white = np.linalg.solve(factor, seen[:, None])[:, :, 0]
    half_log_det = np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
    sums = (white * white).sum(axis=1) + _BELIEF * _USUAL_MM**2
    log = -half_log_det - 0.5 * (free + _BELIEF) * np.log(sums)
    return log, sums / max(free + _BELIEF - 2.0, 1.0)
