"""Medians by sorting are numpy's."""

from __future__ import annotations

import numpy as np
import pytest

from millimark.scan.medians import median, medians


@pytest.mark.parametrize("count", [1, 2, 3, 6, 190, 701])
@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_they_are_the_same_numbers(count, kind):
    values = np.random.default_rng(count).normal(size=(4, 5, count)).astype(kind)
    assert np.array_equal(medians(values), np.median(values, axis=-1))
    assert median(values[0, 0]) == float(np.median(values[0, 0]))
