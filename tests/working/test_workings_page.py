"""docs/workings.md says what the code does: every construction, every cause of error."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from millimark.working.catalogue import CATALOGUE, construct
from millimark.working.geometrography import count
from millimark.working.hands import HANDS, Cause
from millimark.working.instruments import Instruments
from millimark.working.spread import acts_of

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "workings.md").read_text("utf-8")


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_construction_is_on_the_page_with_its_counts(name: str) -> None:
    built = construct(name, instruments=Instruments(protractor=False))
    counted = count(acts_of(built.working))
    row = f"| {name} | {CATALOGUE[name].source} | {counted.simplicity} | {counted.exactitude} |"
    assert row in PAGE


@pytest.mark.parametrize("cause", HANDS["careful"])
def test_every_cause_of_error_is_on_the_page_with_its_size(cause: Cause) -> None:
    careful, typical = HANDS["careful"][cause], HANDS["typical"][cause]
    scale = 10.0  # cm to mm
    if cause in ("baseline", "protractor"):
        scale = math.degrees(1.0)
    elif cause == "ruler scale":
        scale = 100.0  # per cm, shown for 10 cm in mm
    row = next(line for line in PAGE.splitlines() if line.startswith(f"| {careful.what} |"))
    assert f"| {careful.sd * scale:.2f}" in row
    assert f"| {typical.sd * scale:.2f}" in row
