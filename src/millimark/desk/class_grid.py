"""The class at a glance: a row for each sheet, sorted as asked, who is missing, and each question's
share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from millimark.desk.rendering import page
from millimark.desk.setting import desk_of
from millimark.records import marks, scripts
from millimark.records.printings import printing_of
from millimark.records.scripts import Grid, Row


@dataclass(frozen=True)
class Column:
    """A column that rows can be sorted by: its key, its heading, and which way it sorts now
    ("ascending", "descending" or "")."""

    key: str
    heading: str
    sorted: str

    @property
    def next(self) -> str:
        """What choosing the heading asks for."""
        return f"-{self.key}" if self.sorted == "ascending" else self.key


@dataclass(frozen=True)
class Share:
    """What the class earned on one question: marks awarded and possible on the sheets seen."""

    awarded: int
    out_of: int

    @property
    def percent(self) -> int | None:
        """In a hundred; None where nobody's answer was seen."""
        return round(100 * self.awarded / self.out_of) if self.out_of else None


def grid(request: Request) -> Response:
    """The class at a glance."""
    run_id = request.path_params["run"]
    asked = request.query_params.get("sort", "pupil")[:40]
    with desk_of(request).store.reading() as session:
        found = scripts.grid(session, run_id)
        rows, columns = ordered(found, asked)
        seen = [row for row in found.rows if row.cells]
        return page(
            request,
            "grid.html",
            run=printing_of(session, run_id),
            grid=found,
            rows=rows,
            columns=columns,
            seen=len(seen),
            missing=[row for row in found.rows if not row.cells],
            shares={q: share(seen, q) for q in found.questions},
            whole=share(seen, None),
            waiting=marks.waiting(session, run_id),
        )


def ordered(found: Grid, asked: str) -> tuple[list[Row], list[Column]]:
    """The rows as asked ("total", "-total", "q2" …; anything else: by pupil), and the columns.
    Sheets that were not seen come last either way."""
    keys: dict[str, Callable[[Row], Any]] = {
        "pupil": lambda row: ((row.pupil or "~").casefold(), row.sheet),
        "sheet": lambda row: row.sheet,
        **{f"q{q}": _awarded(q) for q in found.questions},
        "total": lambda row: row.awarded,
    }
    key, down = asked.lstrip("-"), asked.startswith("-")
    if key not in keys:
        key, down = "pupil", False
    rows = sorted(found.rows, key=keys[key], reverse=down)
    rows.sort(key=lambda row: not row.cells)
    headings = ["Pupil", "Sheet", *(f"Q{q}" for q in found.questions), "Total"]
    way = "descending" if down else "ascending"
    columns = [Column(k, h, way if k == key else "") for k, h in zip(keys, headings, strict=True)]
    return rows, columns


def _awarded(question: str) -> Callable[[Row], int]:
    return lambda row: row.cells[question].awarded if question in row.cells else -1


def share(rows: list[Row], question: str | None) -> Share:
    """One question over the class, or all of them."""
    cells = [c for row in rows for q, c in row.cells.items() if question in (None, q)]
    return Share(sum(c.awarded for c in cells), sum(c.out_of for c in cells))
