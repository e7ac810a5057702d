"""Marking a page against decoding its image.

Baseline: OpenCV decodes the same JPEG to grey, which marking must do first.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from millimark.marking.page import MarkedPage, Marker, mark_page
from millimark.scan.sources import PageRef

GROUP = "mark"


def page_of_two_questions(drawn: Path) -> Path:
    """The scan of the page with questions 1 and 2, found as marking finds it."""
    marker = Marker(drawn / "layout.json")
    for path in sorted((drawn / "scans").iterdir()):
        marked = mark_page(marker, PageRef(path, "jpeg", 1))
        assert isinstance(marked, MarkedPage)
        if marked.page == 1:
            assert len(marked.questions) == 2
            return path
    raise AssertionError("the first page was not scanned")


@pytest.mark.benchmark(group=GROUP)
def test_marking_a_page(benchmark: Any, drawn: Path) -> None:
    benchmark.extra_info["what"] = "marking a page of two questions at 300 dpi, one core"
    marker, ref = Marker(drawn / "layout.json"), PageRef(page_of_two_questions(drawn), "jpeg", 1)
    assert isinstance(benchmark(mark_page, marker, ref), MarkedPage)


@pytest.mark.benchmark(group=GROUP)
def test_decoding_the_image(benchmark: Any, drawn: Path) -> None:
    benchmark.extra_info["baseline"] = "decoding the same JPEG"
    data = np.frombuffer(page_of_two_questions(drawn).read_bytes(), np.uint8)
    assert benchmark(cv2.imdecode, data, cv2.IMREAD_GRAYSCALE).ndim == 2
