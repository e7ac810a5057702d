"""Where other pencil lies on a line: there its own place is known worse. Paper millimetres."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_WORSE = 1.8
"""A point is disturbed if it is known this much worse than the best of its line: the scan trusts it
three times less."""


def disturbed(
    sigma: NDArray[np.float64], usual: NDArray[np.float64] | None = None
) -> NDArray[np.bool_]:
    """Which points (N,) are disturbed, by their ``sigma`` (N,) mm across; ``usual`` (M,) is that of
    the line where it is to be compared with, all of it by default."""
    best = float(np.percentile(sigma if usual is None else usual, 20))
    return np.asarray(sigma >= _WORSE * best, dtype=bool)
