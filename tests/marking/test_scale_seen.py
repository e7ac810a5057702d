"""Photographs that show the sheet's own edges: what they say of the print scale is published."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.marking.pupil import Hand, on_paper, place
from tests.marking.test_lines import CIRCLE
from tests.marking.test_print_run import page

from millimark.marking import results
from millimark.marking.page import at_run_scale, at_true_size
from millimark.marking.print_run import LEAST_SHEETS, scale_for
from millimark.schemas import schema


def seen(scale: float):
    """A page of which the edges say ``scale``, to 0.3 %."""
    hand = Hand()
    hand.arc(on_paper(CIRCLE)["A"], 40.0)
    _, reading = hand.reading(CIRCLE, place(CIRCLE.figure))
    return replace(reading, print_scale=scale, print_scale_source="paper", scale_sigma=0.003)


@pytest.mark.parametrize("scale", [0.9965, 1.0, 1.0039])
def test_edges_that_agree_with_true_size_are_published_as_assumed(scale):
    reading = at_true_size(seen(scale))
    assert (reading.print_scale, reading.print_scale_source) == (1.0, "assumed")
    assert reading.scale_sigma == 0.003


@pytest.mark.parametrize("scale", [0.97, 0.9955, 1.0045])
def test_edges_that_say_another_size_are_believed(scale):
    reading = at_true_size(seen(scale))
    assert (reading.print_scale, reading.print_scale_source) == (scale, "paper")


def test_a_class_knows_no_better_than_the_edges():
    reading = at_true_size(seen(1.002))
    assert at_run_scale(reading, (0.985, 0.0035)) == reading
    assert at_run_scale(reading, (0.998, 0.0012)).print_scale_source == "batch"
    pages = [page(f"S{k:04}") for k in range(LEAST_SHEETS)]
    assert scale_for(pages[0], pages) is not None
    told = replace(pages[0], line=replace(pages[0].line, scale_seen=1.002))
    assert scale_for(told, pages) is None


def test_the_scale_seen_is_written_and_described():
    line = replace(page("S0001").line, scale_seen=1.0021)
    data = results.as_json([line, replace(line, scale_seen=None)], [], {})
    assert [p["scale_seen"] for p in data["pages"]] == [1.0021, None]
    described = schema("marks")["$defs"]["page"]["properties"]
    assert set(data["pages"][0]) == set(described)
