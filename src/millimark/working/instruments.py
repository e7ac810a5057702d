"""What the pupils have in their hands."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Instruments:
    """Ruler length and compass openings in cm; whether a protractor is allowed; whether the
    hand that the working is shown for is a left hand."""

    ruler_cm: float = 30.0
    compasses_cm: float = 12.0
    compasses_min_cm: float = 1.0
    protractor: bool = True
    left_handed: bool = False
