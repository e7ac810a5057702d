"""``--print-scale``: paper millimetres for one millimetre of the page, as 0.97 for 97 %."""

from __future__ import annotations

import math

from millimark.errors import MillimarkError

LEAST, MOST = 0.85, 1.15
"""Beyond these a scale is a mistake: 'fit to page' between A4 and Letter is 0.94 to 0.97."""


def checked_scale(scale: float | None) -> float | None:
    """The scale itself, or an error that says what it should look like."""
    if scale is None or LEAST <= scale <= MOST:
        return scale
    hint = "Measure the 100 mm check rule and divide by 100."
    if math.isfinite(scale) and LEAST <= scale / 100 <= MOST:
        hint = f"For {scale:g} % write {scale / 100:g}."
    raise MillimarkError(f"--print-scale {scale:g}: it lies between {LEAST} and {MOST}.", hint)
