"""The print scale of photographs: from the run's scans, else from the class's own rulers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.marking.pupil import Hand, on_paper, place
from tests.marking.test_lines import CIRCLE

from millimark.marking.findings import PageLine
from millimark.marking.page import MarkedPage
from millimark.marking.print_run import LEAST_SHEETS, class_scale, scale_for
from millimark.plane.point import Point
from millimark.scan.reading import Source, Unread


def page(sheet: str, source: str = "assumed", scale: float = 1.0, drawn_mm: float = 40.0):
    """A page with a circle of ``drawn_mm`` page mm, read at ``scale``."""
    hand = Hand(int(drawn_mm * 1000) % 97)
    hand.arc(on_paper(CIRCLE)["A"], drawn_mm)
    answer = hand.marked_at(CIRCLE, place(CIRCLE.figure))
    line = PageLine(Source("a.jpg", 1), "read", None, sheet, 1, scale, source, 0.02)
    return MarkedPage(line, sheet, 1, (answer,), b"", "", "", Point(0, 0))


def test_scanned_pages_of_the_same_sheet_come_first():
    batch = [page("S0001", "scanner", 0.97), page("S0002", "scanner", 1.0), page("S0001")]
    found = scale_for(batch[2], batch)
    assert found is not None
    assert found.scale == 0.97


def test_a_batch_of_several_scales_says_nothing_about_another_sheet():
    batch = [page("S0001", "scanner", 0.97), page("S0002", "scanner", 1.0), page("S0003")]
    assert scale_for(batch[2], batch) is None


def test_one_run_lends_its_scale():
    batch = [page("S0001", "scanner", 0.97), page("S0002", "scanner", 0.971), page("S0003")]
    found = scale_for(batch[2], batch)
    assert found is not None
    assert found.scale == pytest.approx(0.9705, abs=1e-4)


@pytest.mark.parametrize("scale", [0.94, 1.0])
def test_a_class_of_rulers_tells_the_scale(scale):
    """Twelve pupils set 40 real mm with an error of 0.35 mm; one of them is 5 mm out."""
    rng = np.random.default_rng(3)
    real = 40.0 + rng.normal(0.0, 0.35, 12)
    real[4] += 5.0
    pages = [page(f"S{k:04}", drawn_mm=r / scale) for k, r in enumerate(real, start=1)]
    found = class_scale(pages)
    assert found is not None
    assert abs(found.scale - scale) < 2.5 * found.sigma
    assert found.sigma < 0.006


def test_a_few_sheets_tell_nothing():
    pages = [page(f"S{k:04}") for k in range(LEAST_SHEETS - 1)]
    assert class_scale(pages) is None
    assert scale_for(pages[0], [*pages, Unread(Source("b.jpg", 1), "too dark")]) is None


def test_scanned_pages_are_not_asked_for_their_circles():
    pages = [replace(page(f"S{k:04}", "scanner")) for k in range(LEAST_SHEETS)]
    assert class_scale(pages) is None


def edged(sheet: str, seen: float) -> MarkedPage:
    """A photographed page whose edges were in sight."""
    known = page(sheet, "paper", seen)
    return replace(known, line=replace(known.line, scale_seen=seen))


def test_edges_of_the_sheets_other_photographs_tell_the_scale():
    batch = [edged("S0001", 0.971), edged("S0002", 1.02), page("S0001")]
    found = scale_for(batch[2], batch)
    assert found is not None
    assert (found.scale, found.sigma) == (0.971, 0.003)


def test_edges_of_one_run_tell_the_scale_of_a_page_without_any():
    batch = [edged("S0001", 1.002), edged("S0002", 0.999), page("S0003")]
    found = scale_for(batch[2], batch)
    assert found is not None
    assert found.scale == 1.0
    apart = [edged("S0001", 0.97), edged("S0002", 1.0), page("S0003")]
    assert scale_for(apart[2], apart) is None


def test_scans_of_the_sheet_come_before_edges():
    batch = [edged("S0001", 0.975), page("S0001", "scanner", 0.97), page("S0001")]
    found = scale_for(batch[2], batch)
    assert found is not None
    assert found.scale == 0.97
