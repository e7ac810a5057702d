"""Pages on which a careless marker goes wrong: the decision is that of a careful human one.

First whole sheets, drawn by the simulator of another make and marked by the command; then each
part of marking alone, on strokes whose truth is their formula.
"""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from tests.marking.pupil import FRAME, PX, Hand, on_paper, place, question, region
from tests.rehearsal import other_hand
from tests.rehearsal.other_hand import Case, Scanner, draw_sheets

from millimark.cli.door import DONE
from millimark.cli.door import run as command
from millimark.loci.conditions import (
    AllOf,
    AtDistance,
    Distance,
    DrawLocus,
    Equidistant,
    Inside,
    Nearer,
    PointOf,
    PolygonOf,
)
from millimark.loci.figure import Figure
from millimark.plane.point import Point
from millimark.scan.reading import Stroke

AB = Figure({"A": Point(-4, 0), "B": Point(4, 0)}, segments=(("A", "B"),))
BISECTOR = question(AB, DrawLocus(Equidistant((PointOf("A"), PointOf("B")))))
CIRCLE = question(AB, DrawLocus(AtDistance(PointOf("A"), 4.0)))
P = on_paper(BISECTOR)
A, B, M = P["A"], P["B"], Point((P["A"].x + P["B"].x) / 2, P["A"].y)


def decisions(marks):
    return [m.decision for m in marks.marks]


def ruled(hand, off=0.0, darkness=0.55, reach=50.0):
    hand.line(Point(M.x + off, M.y - reach), Point(M.x + off, M.y + reach), darkness)


def hide(hand, start, end, width=0.9):
    """A printed line: what the pencil does under it is unseen, and strokes break there."""
    rows, cols = np.indices(hand.shade.shape)
    x, y = (cols + 0.5) / PX + FRAME[0], (rows + 0.5) / PX + FRAME[1]
    d = (end - start).unit()
    length = start.distance(end)

    def covered(px, py):
        along = (px - start.x) * d.x + (py - start.y) * d.y
        off = np.abs((px - start.x) * d.y - (py - start.y) * d.x)
        return (off < width) & (along > -width) & (along < length + width)

    hand.unseen |= covered(x, y)
    hand.shade[covered(x, y)] = 0.0
    kept = []
    for s in hand.strokes:
        seen = np.flatnonzero(~covered(s.xy[:, 0], s.xy[:, 1]))
        for run in np.split(seen, np.flatnonzero(np.diff(seen) > 1) + 1):
            if len(run) > 3:
                kept.append(Stroke(s.xy[run], s.width[run], s.darkness[run], s.sigma[run]))
    hand.strokes = kept


def letters(hand, x, y):
    """'4 cm', freely written, about 5 mm high."""
    hand.path([(x, y), (x - 2.0, y + 3.4), (x + 2.2, y + 3.2)])
    hand.path([(x + 1.0, y + 1.0), (x + 0.8, y + 5.2)])
    t = np.radians(np.linspace(50, 310, 25))
    hand.path(np.column_stack((x + 6.5 + 1.5 * np.cos(t), y + 3.6 + 1.5 * np.sin(t))))
    hand.path(
        [
            (x + 9, y + 5),
            (x + 9.2, y + 2.4),
            (x + 10.6, y + 5),
            (x + 11.5, y + 2.4),
            (x + 12, y + 5),
        ]
    )


def scribble(hand, x, y0, y1):
    """A zigzag along the vertical line at ``x``."""
    ys = np.arange(y0, y1, 1.3)
    hand.path([(x + (3.0 if k % 2 else -3.0), y) for k, y in enumerate(ys)])


TRIANGLE = Figure(
    {"P": Point(-4, -2), "Q": Point(5, -2), "R": Point(0, 5)}, polygons=(("P", "Q", "R"),)
)
IN_TRIANGLE = question(
    TRIANGLE,
    region(
        AllOf(
            (
                Inside(PolygonOf(("P", "Q", "R"))),
                Nearer(PointOf("P"), (PointOf("Q"),)),
                Distance(PointOf("P"), "<", 5.0),
            )
        )
    ),
)


def test_printed_lines_crossed_by_pencil_leave_no_gap():
    hand, at = Hand(), on_paper(IN_TRIANGLE)
    p, q, r = at["P"], at["Q"], at["R"]
    x = (p.x + q.x) / 2
    hand.line(Point(x, p.y + 12), Point(x, p.y - 60))
    hand.arc(p, 50.0, -100.0, 130.0)
    hand.hatch(
        lambda a, b: (
            a < x - 1
            and np.hypot(a - p.x, b - p.y) < 49
            and b < p.y - 1
            and (r.x - p.x) * (b - p.y) - (r.y - p.y) * (a - p.x) > 20
        )
    )
    for one, two in ((p, q), (q, r), (r, p)):
        hide(hand, one, two)
    hide(hand, Point(x - 14, p.y - 20), Point(x + 14, p.y - 12), 1.6)
    marks = hand.marked(IN_TRIANGLE)
    assert decisions(marks) == ["awarded"] * 3
    assert all(e.coverage > 0.99 for e in marks.elements)


def test_labels_written_beside_the_answer_cost_nothing():
    hand = Hand()
    hand.arc(A, 40.0)
    letters(hand, A.x + 41.5, A.y - 2.0)
    letters(hand, A.x - 8.0, A.y - 47.0)
    marks = hand.marked(CIRCLE)
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.3


def test_a_scribbled_out_first_try_is_not_the_answer():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    ruled(hand, off=9.0)
    scribble(hand, M.x + 9.0, M.y - 49.0, M.y + 49.0)
    ruled(hand)
    marks = hand.marked(BISECTOR)
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].worst_mm < 0.3


def test_only_a_scribbled_out_try_is_no_answer():
    hand = Hand()
    ruled(hand)
    scribble(hand, M.x, M.y - 49.0, M.y + 49.0)
    assert decisions(hand.marked(BISECTOR)) == ["withheld", "withheld"]


@pytest.mark.parametrize("gap", [1.8, 2.4, 3.0])
def test_a_construction_arc_within_three_millimetres_of_the_answer(gap):
    """Arcs of radius 40 mm + gap about A and B, and the circle of 40 mm: the circle counts."""
    hand = Hand()
    hand.arc(A, 40.0)
    hand.crossing_arcs(A, B, 40.0 + gap, 40.0 + gap)
    marks = hand.marked(CIRCLE)
    assert decisions(marks) == ["awarded", "awarded"]
    assert marks.elements[0].radius_mm == pytest.approx(40.0, abs=0.1)


def test_a_construction_arc_alone_is_not_the_whole_circle():
    hand = Hand()
    hand.crossing_arcs(A, B, 41.0, 41.0)
    assert decisions(hand.marked(CIRCLE))[1] == "withheld"


def test_two_answers_are_for_the_teacher():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    ruled(hand)
    ruled(hand, off=6.0)
    marks = hand.marked(BISECTOR)
    assert decisions(marks) == ["awarded", "teacher"]
    assert "two lines" in marks.marks[1].reason.lower()


def test_two_circles_are_for_the_teacher():
    hand = Hand()
    hand.arc(A, 40.0)
    hand.arc(A, 46.0)
    assert decisions(hand.marked(CIRCLE)) == ["teacher", "teacher"]


def test_two_wrong_answers_are_wrong():
    hand = Hand()
    ruled(hand, off=7.0)
    ruled(hand, off=-8.0)
    assert decisions(hand.marked(BISECTOR)) == ["withheld", "withheld"]


def test_a_line_drawn_twice_is_one_answer():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    ruled(hand)
    ruled(hand, off=0.9)
    assert decisions(hand.marked(BISECTOR)) == ["awarded", "awarded"]


def test_a_rubbed_out_line_still_shimmering_is_not_a_second_answer():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    ruled(hand)
    ruled(hand, off=6.0, darkness=0.12)
    assert decisions(hand.marked(BISECTOR)) == ["awarded", "awarded"]


def test_stray_lines_far_away_change_nothing():
    hand = Hand()
    hand.crossing_arcs(A, B, 55.0, 55.0)
    ruled(hand)
    hand.line(Point(30, 50), Point(60, 58))
    hand.line(Point(160, 180), Point(175, 170))
    assert decisions(hand.marked(BISECTOR)) == ["awarded", "awarded"]


def test_the_place_is_the_test_figures_own():
    """The scene is what it says: A is 80 mm left of B inside the frame."""
    where = place(AB)
    assert where.points["B"][0] - where.points["A"][0] == 80.0
    assert FRAME[0] < where.points["A"][0] < FRAME[2]


# --- whole sheets, from the printed paper to marks.json -----------------------------------
NARROW = """\
  - given: ["Rectangle KLMN has KL = 1.6 cm and LM = 9 cm."]
    ask: [Draw the locus of points that are the same distance from K as from L.]
"""
"""Printed sides 8 mm to the left and to the right of the answer, which its arcs run over."""


def crossing_print(p, per_cm):
    """The bisector of KL over two printed sides, and arcs over the two others."""
    drawing = other_hand.bisector({"A": p["K"], "B": p["L"]}, per_cm)
    n = drawing.answer[0][1] - drawing.answer[0][0]
    n = n / np.hypot(*n)
    middle = (np.array(p["K"]) + np.array(p["L"])) / 2
    drawing.answer = [np.array([middle - 55 * n, middle + 55 * n])]
    return drawing


def with_labels(p, per_cm):
    """The circle, and '4 cm' and 'C' written against it from outside and across it."""
    drawing = other_hand.ring(p, per_cm)
    c = np.array(p["C"])
    for off in ((3.5 * per_cm + 1.0, -2.0), (-8.0, -3.5 * per_cm - 6.0)):
        drawing.arcs += [c + off + np.array(xy) for xy in HANDWRITING]
    return drawing


HANDWRITING = (
    [(0, 0), (-2.0, 3.4), (2.2, 3.2)],
    [(1.0, 1.0), (0.8, 5.2)],
    [(8.0, 2.2), (6.6, 1.8), (5.4, 2.8), (5.4, 4.2), (6.6, 5.2), (8.0, 4.8)],
    [(9, 5), (9.2, 2.4), (10.6, 5), (11.5, 2.4), (12, 5)],
)


def crossed_out(drawing, p, per_cm, shift):
    """With another bisector, moved by ``shift`` mm, and a zigzag over it."""
    first = other_hand.bisector(p, per_cm, shift=shift).answer[0]
    length = np.hypot(*(first[1] - first[0]))
    u = (first[1] - first[0]) / length
    n = np.array([-u[1], u[0]])
    steps = np.arange(14.0, length - 14.0, 1.3)  # the arcs cross 6 mm from the ends
    zigzag = [first[0] + s * u + (3.0 if k % 2 else -3.0) * n for k, s in enumerate(steps)]
    drawing.answer += [first, np.array(zigzag)]
    return drawing


def scribbled_out(p, per_cm):
    """A bisector 9 mm off, crossed out, and the right one."""
    return crossed_out(other_hand.bisector(p, per_cm), p, per_cm, 9.0)


def right_try_scribbled_out(p, per_cm):
    """The same with the right line crossed out and one 6 mm off left standing."""
    return crossed_out(other_hand.bisector(p, per_cm, shift=6.0), p, per_cm, 0.0)


def arc_within_3_mm(p, per_cm):
    """The bisector, and beside it 30 mm of an arc that comes within 2.4 mm of it."""
    drawing = other_hand.bisector(p, per_cm)
    a, b = np.array(p["A"]), np.array(p["B"])
    away = math.degrees(math.atan2(*(b - a)[::-1]))
    centre = (a + b) / 2 + 62.4 * (b - a) / np.hypot(*(b - a))
    drawing.arcs.append(other_hand.circle(centre, 60.0, away + 166.0, away + 194.0))
    return drawing


def two_answers(p, per_cm):
    """Two bisectors 6 mm apart, neither crossed out."""
    drawing = other_hand.bisector(p, per_cm)
    drawing.answer += other_hand.bisector(p, per_cm, shift=6.0).answer
    return drawing


SHEETS = {
    "printed lines crossed by pencil": ("6", crossing_print, ["awarded"] * 2),
    "labels written beside the answer": ("2", with_labels, ["awarded"] * 2),
    "a scribbled-out first try": ("1", scribbled_out, ["awarded"] * 2),
    "a right first try scribbled out": ("1", right_try_scribbled_out, ["awarded", "withheld"]),
    "a construction arc within 3 mm of the answer": ("1", arc_within_3_mm, ["awarded"] * 2),
    "two answers drawn": ("1", two_answers, ["awarded", "teacher"]),
}


@pytest.fixture(scope="module")
def scripts(tmp_path_factory):
    """The sheets' questions as `millimark print` and `millimark mark` leave them."""
    folder = tmp_path_factory.mktemp("hard")
    (folder / "paper.yaml").write_text(other_hand.PAPER + NARROW, encoding="utf-8")
    run("print", folder / "paper.yaml", "--out", folder, "--sheets", len(SHEETS))
    chosen = [{n: Case(n, name, draw, ())} for name, (n, draw, _) in SHEETS.items()]
    layout = folder / "layout.json"
    draw_sheets(layout, folder / "question-paper.pdf", folder / "scans", chosen, Scanner(dpi=200))
    run("mark", folder / "scans", "--layout", layout, "--out", folder / "marked")
    marks = json.loads((folder / "marked" / "marks.json").read_text(encoding="utf-8"))
    return dict(zip(SHEETS, marks["scripts"], strict=True))


def run(*words):
    assert command([str(w) for w in words]) == DONE


def on_sheet(scripts, name):
    """The one question of a sheet that was answered, and what it should have been."""
    number, _, expected = SHEETS[name]
    found = next(q for q in scripts[name]["questions"] if q["question"] == number)
    assert [m["decision"] for m in found["marks"]] == expected
    return found


def test_sheet_with_printed_lines_crossed_by_pencil(scripts):
    found = on_sheet(scripts, "printed lines crossed by pencil")
    assert found["elements"][0]["worst_mm"] < 0.5


def test_sheet_with_labels_written_beside_the_answer(scripts):
    found = on_sheet(scripts, "labels written beside the answer")
    assert found["elements"][0]["worst_mm"] < 0.5


def test_sheet_with_a_scribbled_out_first_try(scripts):
    found = on_sheet(scripts, "a scribbled-out first try")
    assert found["elements"][0]["worst_mm"] < 0.5


def test_sheet_with_a_right_first_try_scribbled_out(scripts):
    found = on_sheet(scripts, "a right first try scribbled out")
    assert found["elements"][0]["worst_mm"] == pytest.approx(6.0, abs=0.3)


def test_sheet_with_a_construction_arc_within_3_mm_of_the_answer(scripts):
    found = on_sheet(scripts, "a construction arc within 3 mm of the answer")
    assert found["elements"][0]["worst_mm"] < 0.5


def test_sheet_with_two_answers_drawn(scripts):
    found = on_sheet(scripts, "two answers drawn")
    assert "two lines" in found["marks"][1]["reason"].lower()
