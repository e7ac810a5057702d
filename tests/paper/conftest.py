"""One paper printed once for the tests that look at its files."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from millimark.paper.printing import print_paper
from millimark.paper.question import Paper
from millimark.sheet.layout import Layout

from .papers import QUESTIONS, RING, paper_of

DPI = 600
PX_PER_MM = DPI / 25.4


@dataclass(frozen=True)
class Printed:
    """A printed paper: its folder, its layout, and its pages by an independent rasteriser."""

    paper: Paper
    folder: Path
    layout: Layout

    @property
    def pdf(self) -> Path:
        return self.folder / "question-paper.pdf"

    def poppler(self, page: int) -> NDArray[np.uint8]:
        """A page of the question paper at 600 dpi by poppler's pdftoppm, grey."""
        if shutil.which("pdftoppm") is None:
            pytest.skip("pdftoppm is not installed (Debian: apt-get install poppler-utils)")
        base = self.folder / f"poppler-{page}"
        found = sorted(self.folder.glob(f"{base.name}*.pgm"))
        if not found:
            command = ["pdftoppm", "-r", str(DPI), "-gray", "-f", str(page), "-l", str(page)]
            subprocess.run([*command, str(self.pdf), str(base)], check=True, timeout=60)
            found = sorted(self.folder.glob(f"{base.name}*.pgm"))
        with Image.open(found[0]) as picture:
            return np.array(picture)


@pytest.fixture(scope="session")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Six questions, two sheets, one of them with a name."""
    folder = tmp_path_factory.mktemp("printed")
    paper = paper_of(*QUESTIONS, RING)
    return Printed(paper, folder, print_paper(paper, folder, ["Asha Ø.", None]))
