"""The line and the circle through points, quickly: where a course is wanted, not its error.

What is measured is fitted in ``millimark.scan.fitting``, robustly and with covariance.
"""

from __future__ import annotations

import math

import numpy as np

from millimark.marking.ink import Array


def line_through(xy: Array) -> tuple[Array, Array]:
    """Middle (2,) and unit direction (2,) of points (N, 2), by total least squares."""
    middle = xy.mean(axis=0)
    return middle, np.linalg.svd(xy - middle, full_matrices=False)[2][0]


def strays(xy: Array) -> float:
    """How far points (N, 2) stray from the line through them, rms mm: the lesser axis of their
    scatter."""
    return math.sqrt(max(0.0, float(np.linalg.eigvalsh(np.cov(xy.T, bias=True))[0])))


def circle_through(xy: Array) -> tuple[Array, float, float]:
    """Centre, radius and rms of the algebraic circle (Kåsa 1976) through points (N, 2)."""
    middle = xy.mean(axis=0)
    v = xy - middle
    terms = np.column_stack((2.0 * v, np.ones(len(v))))
    x, y, c = np.linalg.lstsq(terms, (v * v).sum(axis=1), rcond=None)[0]
    radius = float(np.sqrt(max(c + x * x + y * y, 0.0)))
    centre: Array = middle + np.array([x, y])
    rms = float(np.sqrt(((np.hypot(*(xy - centre).T) - radius) ** 2).mean()))
    return centre, radius, rms
