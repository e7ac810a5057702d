"""The deviation along a line: drawn to scale, broken where the pencil is, told in words."""

from __future__ import annotations

import re

import numpy as np
import pytest
from tests.desk.conftest import Marked

from millimark.desk.deviation import profiles
from millimark.marking.findings import Course
from millimark.records.saving import profile


def question(*runs: dict[str, object], worst: float = 3.0) -> dict[str, object]:
    element = {"element": "circle", "found": True, "worst_mm": worst, "profile_mm": list(runs)}
    return {"elements": [element]}


def points(line: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (p.split(",") for p in line.split())]


def test_nothing_was_drawn_or_nothing_was_kept() -> None:
    assert profiles({"elements": []}, 2.0) == ()
    assert profiles({"elements": [{"element": "x", "found": False}]}, 2.0) == ()
    assert profiles({"elements": [{"element": "x", "found": True}]}, 2.0) == ()


def test_the_middle_is_the_locus_and_the_band_the_tolerance() -> None:
    (d,) = profiles(question({"start": 0, "off": [0.0, 2.0, -2.0], "round": False}), 2.0)
    (line,) = d.lines
    assert [y for _, y in points(line)] == [d.middle, *d.band]
    assert d.beyond == ()
    assert [t.text for t in d.offs] == ["0", "+2", "-2"]


def test_a_break_of_the_pencil_breaks_the_line_and_what_is_beyond_is_marked() -> None:
    off = [0.5, 0.5, None, None, 2.5, 3.0, 1.0]
    (d,) = profiles(question({"start": 10, "off": off, "round": True}), 2.0)
    assert len(d.lines) == 2
    (out,) = d.beyond
    assert min(y for _, y in points(out)) < d.band[0]  # up is positive
    assert (
        d.told == "circle: 5 mm of pencil, at most 3.0 mm off; 3 mm of it within the 2 mm allowed."
    )
    # 1 mm of way is the same width everywhere
    xs = [x for line in d.lines for x, _ in points(line)]
    assert (xs[1] - xs[0]) == pytest.approx((xs[3] - xs[2]), abs=0.02)
    assert (xs[2] - xs[1]) == pytest.approx(3 * (xs[1] - xs[0]), abs=0.05)


def test_a_profile_is_the_mean_over_each_millimetre() -> None:
    t = np.arange(0.0, 6.0, 0.25)
    u = np.where(t < 3.0, 0.5, -1.25)
    keep = (t < 2.0) | (t >= 4.0)
    (run,) = profile([Course(t[keep] - 2.0, u[keep], 0.0)])
    assert run == {"start": -2, "off": [0.5, 0.5, None, None, -1.25, -1.25], "round": False}
    (turned,) = profile([Course(t, u, 0.1)])
    assert turned["round"] is True


def test_review_shows_it_for_each_line_of_the_answer(marked: Marked) -> None:
    text = marked.client.get("/printings/1/review").text
    (told,) = set(re.findall(r"<figcaption>(.*?)</figcaption>", text))
    assert re.fullmatch(
        r"perpendicular bisector of ST: \d+ mm of pencil, at most \d\.\d mm off; "
        r"(all|\d+ mm) of it within the 2 mm allowed\.",
        told,
    )
    assert text.count('class="drawn"') >= 1
