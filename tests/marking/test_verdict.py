"""The borderline rule."""

from __future__ import annotations

import pytest
from scipy.stats import norm

from millimark.marking.verdict import COVERAGE_FACTOR, agreed, at_least, at_most, both


def test_coverage_factor_is_the_normal_quantile():
    """Outside authority: scipy's normal distribution, two-sided 95 %."""
    assert pytest.approx(norm.ppf(0.975), abs=0.001) == COVERAGE_FACTOR


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(1.8, "yes"), (1.804, "yes"), (1.9, "unsure"), (2.1, "unsure"), (2.3, "no")],
)
def test_at_most(value, verdict):
    assert at_most(value, 2.0, 0.1) == verdict


@pytest.mark.parametrize(("value", "verdict"), [(27.0, "no"), (29.5, "unsure"), (33.0, "yes")])
def test_at_least(value, verdict):
    assert at_least(value, 30.0, 1.0) == verdict


def test_both_and_agreed():
    assert both() == "yes"
    assert both("yes", "unsure") == "unsure"
    assert both("unsure", "no") == "no"
    assert agreed("no", "no") == "no"
    assert agreed("yes", "no") == "unsure"
