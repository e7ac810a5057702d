"""docs/rehearsal.md names everything that a rehearsal can do."""

from __future__ import annotations

from pathlib import Path

import pytest

from millimark.rehearsal.capture import CAPTURES, TONES
from millimark.rehearsal.faults import HABITS, KINDS, NEAR_LIMIT
from millimark.rehearsal.files import FORMS
from millimark.rehearsal.hostile import PAGE_TWICE
from millimark.rehearsal.hostile import kinds as hostile
from millimark.rehearsal.wear import KINDS as WEAR

TEXT = (Path(__file__).parents[2] / "docs" / "rehearsal.md").read_text(encoding="utf-8")
NAMES = [
    *(k.name for k in KINDS), NEAR_LIMIT, *HABITS, *CAPTURES, *TONES, *FORMS, *WEAR, *hostile(),
    PAGE_TWICE,
]  # fmt: skip


@pytest.mark.parametrize("name", sorted(set(NAMES)))
def test_it_is_documented(name: str):
    assert f"`{name}`" in TEXT
