"""Where the marks are looked for makes no difference to where they are found."""

from __future__ import annotations

import numpy as np
import pytest
from tests.scan import easel

from millimark.scan.markers import find_marks

PAGE = easel.page_map()
KNOWN = {mark.id for mark in PAGE.marks}


def same(one, other):
    assert np.array_equal(one.ids, other.ids)
    assert np.array_equal(one.corners, other.corners)


@pytest.fixture(scope="module")
def scanned():
    """A scan that lies askew, and its marks as a search of the whole image finds them."""
    grey = easel.scan(easel.blank(), turn_deg=1.0).image.grey
    marks = find_marks(grey)
    assert set(marks.ids.tolist()) == KNOWN
    return grey, marks


def test_a_quick_look_finds_what_the_whole_search_finds(scanned):
    grey, marks = scanned
    same(find_marks(grey, KNOWN), marks)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (50.0, -50.0), (300.0, 0.0)])
def test_so_does_a_search_round_likely_places_however_wrong(scanned, shift):
    grey, marks = scanned
    same(find_marks(grey, KNOWN, marks.corners + np.array(shift)), marks)


def test_so_it_does_where_one_is_covered(scanned):
    grey, marks = scanned
    without = grey.copy()
    low, high = marks.corners[0].min(axis=0).astype(int), marks.corners[0].max(axis=0).astype(int)
    without[low[1] - 9 : high[1] + 9, low[0] - 9 : high[0] + 9] = 255
    found = find_marks(without, KNOWN, marks.corners)
    assert len(found) == len(marks) - 1
    same(found, find_marks(without))


@pytest.mark.parametrize("shape", [(4000, 3), (3, 3000), (7, 5), (1, 1)])
def test_an_image_of_any_shape_may_hold_none(shape):
    assert len(find_marks(np.full(shape, 200, np.uint8), KNOWN)) == 0


def test_photographed_marks_are_found_alike():
    grey = easel.photograph(easel.blank(), tilt_deg=(12.0, 6.0), curl_mm=3.0).image.grey
    same(find_marks(grey, KNOWN), find_marks(grey))
