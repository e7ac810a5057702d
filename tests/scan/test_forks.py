"""Forks: the arms that run on most smoothly are one line."""

from __future__ import annotations

import numpy as np
import pytest

from millimark.scan.forks import mended

PER_MM = 8.0


def arc(start: float, stop: float, r: float = 60.0) -> np.ndarray:
    """Part of a circle from ``start`` to ``stop`` mm along it, px, through (0, 0)."""
    t = np.arange(start, stop, 0.12) / r
    return PER_MM * np.column_stack((r * np.sin(t), r * (1 - np.cos(t))))


def astray(turn: float, length: float = 6.0) -> np.ndarray:
    """A line that leaves (0, 0) at ``turn`` radians from the arc's direction."""
    t = np.arange(0.4, length, 0.12)
    return PER_MM * np.column_stack((t * np.cos(turn), -t * np.sin(turn)))


@pytest.mark.parametrize("turn", [0.25, 0.4, 0.6])
def test_an_arc_is_followed_past_the_line_that_leaves_it(turn: float):
    """The ridge went astray into the hatching; the arc's other half starts beside the fork."""
    lines = [[np.vstack((arc(-20.0, 0.0), astray(turn)))], [arc(0.8, 15.0)]]
    found = sorted((np.vstack(line) for line in mended(lines, PER_MM)), key=len)
    assert len(found) == 2
    whole = found[1]
    ends = sorted((whole[0], whole[-1]), key=lambda p: p[0])
    assert ends[0] == pytest.approx(arc(-20.0, 0.0)[0], abs=1e-9)
    assert ends[1] == pytest.approx(arc(0.8, 15.0)[-1], abs=1e-9)


def test_a_line_that_ends_on_another_leaves_it_whole():
    lines = [[arc(-20.0, 20.0)], [astray(0.7)]]
    assert [len(np.vstack(line)) for line in mended(lines, PER_MM)] == [
        len(np.vstack(line)) for line in lines
    ]


def test_no_lines_have_no_forks():
    assert mended([], PER_MM) == []
