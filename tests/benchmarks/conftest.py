"""What the benchmarks share: the demo's paper, printed and drawn by one pupil."""

from __future__ import annotations

from pathlib import Path

import pytest

from millimark import demo
from millimark.cli.door import run
from millimark.paper.question import Paper
from millimark.paper.reading import read_paper


@pytest.fixture(scope="session")
def paper_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("benchmark") / "paper.yaml"
    path.write_text(demo.text("paper.yaml"), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def paper(paper_file: Path) -> Paper:
    return read_paper(paper_file)


@pytest.fixture(scope="session")
def drawn(paper_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A rehearsal folder: one pupil, three pages at 300 dpi, JPEG."""
    out = tmp_path_factory.mktemp("drawn") / "out"
    assert (
        run(["rehearse", str(paper_file), "--pupils", "1", "--seed", "7", "--out", str(out)]) == 0
    )
    return out
