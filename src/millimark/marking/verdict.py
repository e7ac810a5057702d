"""Yes, no, or too close to call: the borderline rule in one place.

A value is clear of a limit when it is further from it than 1.96 standard uncertainties
(95 % coverage for a normal error, JCGM 100:2008 6.2); otherwise the teacher decides.
"""

from __future__ import annotations

from typing import Literal

Verdict = Literal["yes", "no", "unsure"]

RANK: dict[Verdict, int] = {"yes": 0, "unsure": 1, "no": 2}
"""The best first: the reading of the pencil that counts is the one that fits best."""
COVERAGE_FACTOR = 1.96


def at_most(value: float, limit: float, sigma: float) -> Verdict:
    """Whether ``value`` +- ``sigma`` is at most ``limit``."""
    if value + COVERAGE_FACTOR * sigma <= limit:
        return "yes"
    return "no" if value - COVERAGE_FACTOR * sigma > limit else "unsure"


def at_least(value: float, limit: float, sigma: float) -> Verdict:
    """Whether ``value`` +- ``sigma`` is at least ``limit``."""
    if value - COVERAGE_FACTOR * sigma >= limit:
        return "yes"
    return "no" if value + COVERAGE_FACTOR * sigma < limit else "unsure"


def both(*verdicts: Verdict) -> Verdict:
    """``no`` if any is no, else ``unsure`` if any is unsure, else ``yes``."""
    if "no" in verdicts:
        return "no"
    return "unsure" if "unsure" in verdicts else "yes"


def agreed(*verdicts: Verdict) -> Verdict:
    """The common verdict of several readings of one rule, ``unsure`` where they differ."""
    return verdicts[0] if len(set(verdicts)) == 1 else "unsure"
