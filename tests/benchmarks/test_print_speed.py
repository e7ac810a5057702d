"""Printing a paper against the typesetter alone.

Baseline: the same typesetter sets as many pages of the same words without any drawing.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import typst

from millimark.paper.printing import print_paper
from millimark.paper.question import Paper

SHEETS = 10
GROUP = "print"


def words_alone(paper: Paper, pages: int) -> bytes:
    """The questions' words as Typst markup, on ``pages`` pages."""
    sentences = [s for q in paper.questions for s in (q.story or "", *q.given, *q.ask)]
    one = "\n\n".join(f"#text({_quoted(sentence)})" for sentence in sentences)
    return (
        "#set page(width: 210mm, height: 297mm)\n" + "\n#pagebreak()\n".join([one] * pages)
    ).encode()


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@pytest.mark.benchmark(group=GROUP)
def test_all_pdfs_for_ten_pupils(benchmark: Any, paper: Paper, tmp_path: Path) -> None:
    benchmark.extra_info["what"] = "printing five questions for ten pupils, all its PDFs"
    layout = benchmark(print_paper, paper, tmp_path, [None] * SHEETS)
    assert len(layout.sheets) == SHEETS


@pytest.mark.benchmark(group=GROUP)
def test_typesetting_without_drawings(benchmark: Any, paper: Paper, tmp_path: Path) -> None:
    benchmark.extra_info["baseline"] = "typesetting as many question pages without drawings"
    layout = print_paper(paper, tmp_path, [None] * SHEETS)
    pages = sum(len(sheet.pages) for sheet in layout.sheets)
    source = words_alone(paper, pages)
    assert benchmark(typst.compile, source, format="pdf").startswith(b"%PDF-")
