"""Thirty personal variants of a five-question paper against the typesetter alone.

Baseline: the same typesetter sets as many pages, each with a drawing of as many curves
that was made before. Every round has another seed, so that nothing set before is used again.
"""

from __future__ import annotations

from itertools import count
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import typst

from millimark.bank.shelf import by_id, paper_file
from millimark.paper.fields import load
from millimark.paper.printing import print_paper
from millimark.paper.question import Paper
from millimark.paper.reading import PaperSource

SHEETS = 30
CURVES = 560
"""Path pieces on a page of these PDFs, counted over all of them: 195,717 on 348 pages."""
GROUP = "variants"
QUESTIONS = ("plank-variants", "ring-variants", "fold-variants", "spine-variants", "mast-variants")
SEEDS = count(1)
_HEAD = '#set document(title: "Drawings")\n#set page(margin: 17mm)'


def next_paper() -> Paper:
    text = paper_file("Variants", by_id(QUESTIONS)) + f"seed: {next(SEEDS)}\n"
    return PaperSource(load(text, None)).paper()


def pages_with_drawings(pages: int) -> dict[str, bytes]:
    """A Typst document of ``pages`` pages, each with its own SVG of ``CURVES`` arcs."""
    seed = next(SEEDS)
    files: dict[str, bytes] = {}
    for page in range(pages):
        arcs = "".join(
            f'<path d="M{10 + k / 9} {20 + page % 9}A{20 + k} {20 + k} 0 0 1 '
            f'{90 - k / 20} {60 + k / 9}" '
            f'stroke="#16202e" stroke-width="0.{25 + seed % 50}" fill="none"/>'
            for k in range(CURVES)
        )
        files[f"{page}.svg"] = (
            '<svg xmlns="http://www.w3.org/2000/svg" width="176mm" height="150mm" '
            f'viewBox="0 0 176 150">{arcs}</svg>'
        ).encode()
    body = "\n#pagebreak()\n".join(
        f'Question {page}, round {seed}.\n#image("{page}.svg", width: 176mm, alt: "arcs")'
        for page in range(pages)
    )
    return {**files, "main.typ": f"{_HEAD}\n{body}".encode()}


@pytest.mark.benchmark(group=GROUP)
def test_thirty_personal_papers(benchmark: Any, tmp_path: Path) -> None:
    benchmark.extra_info["what"] = (
        "thirty variants of five questions: reading, solving, fairness, all PDFs"
    )
    layout = benchmark.pedantic(
        lambda paper: print_paper(paper, tmp_path, [None] * SHEETS),
        setup=lambda: ((next_paper(),), {}),
        rounds=3,
    )
    assert len({str(s.choices) for s in layout.sheets}) > SHEETS // 2


@pytest.mark.benchmark(group=GROUP)
def test_typesetting_as_many_pages(benchmark: Any, tmp_path: Path) -> None:
    benchmark.extra_info["baseline"] = (
        f"typesetting as many pages, a drawing of {CURVES} curves made before on each"
    )
    print_paper(next_paper(), tmp_path, [None] * SHEETS)
    pages = 0
    for name in ("question-paper", "model-answers", "overlays", "mark-scheme"):
        with pikepdf.open(tmp_path / f"{name}.pdf") as pdf:
            pages += len(pdf.pages)
    made = benchmark.pedantic(
        lambda files: typst.compile(files, format="pdf", pdf_standards=["ua-1"]),
        setup=lambda: ((pages_with_drawings(pages),), {}),
        rounds=3,
    )
    assert made.startswith(b"%PDF-")
