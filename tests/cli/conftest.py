"""One small printed, drawn and scanned paper for all tests of the real commands."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from millimark.cli.door import run

PAPER = """\
title: Two beacons
questions:
  - story: S and T are beacons on a moor.
    given:
      - S and T are 7 cm apart.
    ask:
      - Draw the locus of points that are the same distance from S as from T.
    marks: 2
  - given:
      - U and V are 6 cm apart.
    ask:
      - Draw the locus of points that are 3 cm from U.
    marks: 2
"""


@dataclass(frozen=True)
class Ran:
    """What one command did."""

    code: int
    out: str
    err: str


Command = Callable[..., Ran]


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Command:
    """Runs a command in this process; no run may show a traceback or blame Millimark."""

    def ran(*words: str | Path) -> Ran:
        capsys.readouterr()
        code = run([str(word) for word in words])
        shown = capsys.readouterr()
        assert "Traceback" not in shown.err + shown.out
        assert "fault of Millimark" not in shown.err, _details(shown.err)
        return Ran(code, shown.out, shown.err)

    return ran


def _details(err: str) -> str:
    kept = Path(err.split("Details: ")[1].splitlines()[0])
    return kept.read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def paper_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("paper") / "paper.yaml"
    path.write_text(PAPER, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def rehearsed(paper_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a rehearsal with two pupils."""
    out = tmp_path_factory.mktemp("rehearsed") / "out"
    assert (
        run(["rehearse", str(paper_file), "--pupils", "2", "--seed", "5", "--out", str(out)]) == 0
    )
    return out


@pytest.fixture(scope="session")
def scans(rehearsed: Path) -> list[Path]:
    """The rehearsal's scan files, in order of name."""
    return sorted(p for p in (rehearsed / "scans").rglob("*") if p.is_file())


def marks_of(folder: Path) -> dict[str, Any]:
    """marks.json of a folder."""
    found: dict[str, Any] = json.loads((folder / "marks.json").read_text(encoding="utf-8"))
    return found
