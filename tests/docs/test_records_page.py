"""docs/records.md names every table and every module of the records."""

from __future__ import annotations

import re
from pathlib import Path

from millimark.records.models import TABLES

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "records.md").read_text(encoding="utf-8")


def _first_cells(heading: str) -> set[str]:
    section = PAGE.split(f"## {heading}\n")[1].split("\n## ")[0]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return {name for row in rows for name in re.findall(r"`(\w+)`", row)}


def test_every_table_is_described_and_no_other() -> None:
    assert _first_cells("Tables") == {table.name for table in TABLES}


def test_every_module_is_described_and_no_other() -> None:
    room = ROOT / "src" / "millimark" / "records"
    modules = {p.stem for p in room.glob("*.py")} - {"__init__"}
    folders = {p.name for p in room.iterdir() if (p / "__init__.py").exists()}
    assert _first_cells("Modules") == modules | folders
