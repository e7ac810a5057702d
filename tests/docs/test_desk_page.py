"""docs/desk.md names every page of what follows marking: a new one must be described there."""

from __future__ import annotations

import inspect
from pathlib import Path

from millimark.desk import after_marking

PAGE = (Path(__file__).parents[2] / "docs" / "desk.md").read_text(encoding="utf-8")
ROWS = {
    "reviewing": "Review",
    "answers": "Review",
    "second_marking": "Second marking",
    "scanned_twice": "Scanned twice",
    "class_grid": "Class grid",
    "feeding_back": "Feed back",
    "class_pages": "Classes",
    "keeping": "Records",
}


def test_every_module_with_pages_has_its_row() -> None:
    rooms = {
        inspect.getmodule(route.endpoint)
        for route in after_marking.routes()
        if route.methods and "GET" in route.methods
    }
    names = {room.__name__.rpartition(".")[2] for room in rooms if room is not None}
    assert names == set(ROWS)
    for row in ROWS.values():
        assert f"| {row} |" in PAGE
