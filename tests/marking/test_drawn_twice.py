"""Lines gone over again, freehand lines, corners and tails: where the pupil's line is.

The pencil is drawn by the rehearsal's graphite (its grain is not the marker's own), scanned by
nothing: the frame is looked at as it is drawn.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from millimark.marking.coverage import FreePencil, Ground
from millimark.marking.doubled import centred
from millimark.marking.ends import corners, ends_of
from millimark.marking.ink import pieces_of
from millimark.marking.primitives import Ink
from millimark.rehearsal.graphite import draw
from millimark.rehearsal.pencil import PencilStroke
from millimark.scan.reading import Stroke

PER_MM = 8.0
SIZE_MM = (120.0, 60.0)


def ground(strokes: list[PencilStroke], seed: int = 1) -> Ground:
    """The strokes' graphite on white paper; the frame starts at the page's corner."""
    page = np.full((round(SIZE_MM[1] * PER_MM), round(SIZE_MM[0] * PER_MM)), 255, np.uint8)
    draw(page, strokes, 1.0, PER_MM, np.random.default_rng(seed))
    dark = (1.0 - page / 255.0).astype(np.float32)
    hidden = np.zeros(page.shape, dtype=bool)
    return Ground(0.0, 0.0, (0.0, 0.0, *SIZE_MM), 2.0, hidden, dark, PER_MM)


def ruled(y: float, x0: float = 10.0, x1: float = 110.0, **how: float) -> PencilStroke:
    x = np.arange(x0, x1, 0.25)
    return PencilStroke(np.column_stack((x, np.full(len(x), y))), "answer", **how)


def ink_along(*lines: np.ndarray) -> Ink:
    return Ink.of(
        pieces_of(
            [
                Stroke(xy, np.full(len(xy), 0.5), np.full(len(xy), 0.5), np.full(len(xy), 0.02))
                for xy in lines
            ],
            1.0,
        )
    )


@pytest.mark.parametrize("width", [0.35, 0.5, 0.7])
@pytest.mark.parametrize("darkness", [0.3, 0.55])
def test_a_line_drawn_once_is_not_moved(width: float, darkness: float):
    line = ruled(30.0, width=width, darkness=darkness)
    ink, twice = centred(ink_along(line.xy), [0], ground([line]))
    assert not twice
    assert np.abs(ink.pieces[0].xy[:, 1] - 30.0).max() < 1e-9


def hatched(line: PencilStroke, strokes: list[PencilStroke]) -> Ground:
    """The same where a region was to be shaded: the strokes are traced, and are no line."""
    seen = ground([line, *strokes])
    xy = np.concatenate([np.zeros((0, 2)), *(s.xy for s in strokes)])
    return replace(
        seen,
        lines=seen.pencil,
        free=FreePencil(xy, np.tile((1.0, 0.0), (len(xy), 1)), np.ones(len(xy), bool)),
    )


@pytest.mark.parametrize("aside", [0.7, 0.9, 1.1])
def test_a_stroke_of_hatching_beside_a_line_is_no_second_line(aside: float):
    line = ruled(30.0, width=0.5, darkness=0.55)
    below = [ruled(30.0 + aside + 3.0 * k, 40.0, 80.0, width=0.4, darkness=0.5) for k in range(4)]
    ink, twice = centred(ink_along(line.xy), [0], hatched(line, below))
    assert not twice
    assert np.abs(ink.pieces[0].xy[:, 1] - 30.0).max() < 1e-9


@pytest.mark.parametrize("darkness", [0.15, 0.3])
def test_shading_up_to_a_line_is_no_second_line(darkness: float):
    line = ruled(30.0, width=0.5, darkness=0.6)
    tone = [ruled(30.0 + 0.35 * k, 20.0, 100.0, width=0.5, darkness=darkness) for k in (1, 2)]
    seen = hatched(line, tone)
    ink, _ = centred(ink_along(line.xy), [0], replace(seen, free=None))
    assert np.abs(ink.pieces[0].xy[:, 1] - 30.0).max() < 0.12


@pytest.mark.parametrize("aside", [0.5, 0.65, 0.8])
def test_a_line_drawn_twice_is_so_where_something_is_shaded(aside: float):
    """Hatching meets it, but none of it runs along it."""
    line, again = ruled(30.0), ruled(30.0 + aside)
    seen = ground([line, again])
    across = np.column_stack((np.arange(20.0, 100.0, 0.2), np.full(400, 33.0)))
    free = FreePencil(across, np.tile((0.0, 1.0), (400, 1)), np.ones(400, bool))
    shaded = replace(seen, lines=seen.pencil, free=free)
    ink, twice = centred(ink_along(line.xy), [0], shaded)
    assert twice[0] > 80.0
    assert np.median(ink.pieces[0].xy[:, 1]) == pytest.approx(30.0 + aside / 2, abs=0.08)


@pytest.mark.parametrize("aside", [0.4, 0.6, 0.8, 0.95])
def test_a_line_drawn_twice_lies_in_the_middle_of_both(aside: float):
    first, again = ruled(30.0, width=0.45), ruled(30.0 + aside, 35.0, 80.0, width=0.45)
    ink, twice = centred(ink_along(first.xy), [0], ground([first, again]))
    assert twice[0] == pytest.approx(45.0, abs=4.0)
    x, y = ink.pieces[0].xy.T
    assert y[(x > 38.0) & (x < 77.0)] == pytest.approx(30.0 + aside / 2, abs=0.1)
    assert y[(x < 32.0) | (x > 83.0)] == pytest.approx(30.0, abs=1e-9)


def test_a_line_two_millimetres_beside_is_another_line():
    first, other = ruled(30.0), ruled(32.0)
    _, twice = centred(ink_along(first.xy), [0], ground([first, other]))
    assert not twice


@pytest.mark.parametrize("pitch", [1.5, 3.0, 5.0])
def test_hatching_that_ends_on_a_line_does_not_double_it(pitch: float):
    line = ruled(30.0)
    t = np.arange(0.0, 20.0, 0.25)
    hatch = [
        PencilStroke(np.column_stack((x + 0.7 * t, 30.3 + 0.7 * t)), "shade", width=0.45)
        for x in np.arange(12.0, 90.0, pitch)
    ]
    ink, _ = centred(ink_along(line.xy), [0], ground([line, *hatch]))
    assert np.abs(ink.pieces[0].xy[:, 1] - 30.0).max() < 0.15


def test_the_tip_of_a_corner_lies_where_its_legs_cross():
    t = np.arange(0.0, 30.0, 0.25)
    one = np.column_stack((10.0 + t, np.full(len(t), 20.0)))
    two = np.column_stack((np.full(len(t), 40.5), 20.7 + t))
    ink = ink_along(one, two)
    tips = corners(ink, [0, 1])
    assert tips == pytest.approx(np.array([[40.5, 20.0]]), abs=0.05)


def test_lines_that_run_on_make_no_corner_and_have_two_loose_ends():
    t = np.arange(0.0, 30.0, 0.25)
    one = np.column_stack((10.0 + t, np.full(len(t), 20.0)))
    two = np.column_stack((40.8 + t, np.full(len(t), 20.0)))
    ink = ink_along(one, two)
    assert not len(corners(ink, [0, 1]))
    (a, b), (c, d) = ends_of(ink, [0, 1])
    assert [a.loose, b.loose, c.loose, d.loose] == [True, False, False, True]
