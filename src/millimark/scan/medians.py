"""The median by sorting: several times as quick as numpy's on the few hundred values at a time
that scans and fits give."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def medians(values: NDArray[np.floating[Any]]) -> Array:
    """Median (...) over the last axis of finite values (..., N); N is at least 1."""
    ordered = np.sort(values, axis=-1)
    count = values.shape[-1]
    return np.asarray(0.5 * (ordered[..., (count - 1) // 2] + ordered[..., count // 2]))


def median(values: NDArray[np.floating[Any]]) -> float:
    """Median of finite values (N,); N is at least 1."""
    return float(medians(values))
