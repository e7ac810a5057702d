"""Centres of a triangle, by pupils each of whom draws two lines of three as they like.

The commands themselves, on a paper of the four centres and of a point as far from three others.
"""

from __future__ import annotations

import json
from itertools import combinations, permutations
from pathlib import Path

import numpy as np
import pytest
from tests.rehearsal.agreement import Agreement, compare_files
from tests.rehearsal.questions import place

from millimark.cli.door import run
from millimark.paper.printing import print_paper
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.preferring import Order, preferences, preferred
from millimark.rehearsal.setting import Setting, set_out

SIDES = "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm."
PAPER = f"""\
title: Centres
questions:
  - given: [&abc "{SIDES}"]
    ask: [Mark the centroid of triangle ABC.]
  - given: [*abc]
    ask: [Mark the circumcentre of triangle ABC.]
  - given: [*abc]
    ask: [Mark the incentre of triangle ABC.]
  - given: [*abc]
    ask: [Mark the orthocentre of triangle ABC.]
  - given: [A and B are 8 cm apart., C is 7 cm from A and 6 cm from B.]
    ask: ["Mark the point that is the same distance from A, B and C."]
"""
PUPILS = 9


def lines_drawn(folder: Path) -> dict[str, set[frozenset[str]]]:
    """By question the sets of lines that led to its point, over all pupils who drew any."""
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    found: dict[str, set[frozenset[str]]] = {}
    for sheet in truth["sheets"]:
        for question in (q for page in sheet["pages"] for q in page["questions"]):
            led = {
                s["element"]
                for s in question["strokes"]
                if s["role"] == "construction" and s["element"] is not None
            }
            if led:
                found.setdefault(question["question"], set()).add(frozenset(led))
    return found


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the rehearsal of the paper, and `marked` in it."""
    folder = tmp_path_factory.mktemp("centres")
    (folder / "paper.yaml").write_text(PAPER, encoding="utf-8")
    out = folder / "out"
    asked = ["--pupils", str(PUPILS), "--seed", "6", "--out", str(out)]
    assert run(["rehearse", str(folder / "paper.yaml"), *asked]) == 0
    marked = ["--layout", str(out / "layout.json"), "--out", str(out / "marked")]
    assert run(["mark", str(out / "scans"), *marked]) == 0
    return out


@pytest.fixture(scope="module")
def agreed(tried: Path) -> Agreement:
    return compare_files(tried / "marked" / "marks.json", tried / "truth.json")


@pytest.mark.parametrize("number", ["1", "2", "3", "4", "5"])
def test_pupils_take_every_pair_of_lines(tried: Path, number: str) -> None:
    pairs = [lines for lines in lines_drawn(tried)[number] if len(lines) == 2]
    assert len(pairs) == 3


def test_no_mark_is_wrong_whichever_lines_were_drawn(agreed: Agreement) -> None:
    assert agreed.decisions == PUPILS * 5 * 3
    assert not agreed.wrong, "\n".join(str(w) for w in agreed.wrong)
    assert agreed.handed_share < 0.1


def test_no_fault_of_the_arcs_is_told_of_those_who_made_none(tried: Path) -> None:
    truth = json.loads((tried / "truth.json").read_text(encoding="utf-8"))
    marks = json.loads((tried / "marked" / "marks.json").read_text(encoding="utf-8"))
    told = {(s["sheet"], q["question"]): q for s in marks["scripts"] for q in s["questions"]}
    for sheet in truth["sheets"]:
        for question in (q for page in sheet["pages"] for q in page["questions"]):
            kinds = {f["fault"] for f in question["faults"]}
            if kinds & {"no-arcs", "point-off", "point-missing", "blank"}:
                continue
            faults = told[sheet["sheet"], question["question"]]["faults"]
            assert not {f["fault"] for f in faults} & {"no-arcs", "unequal-arcs", "arcs-too-small"}


# --- the choice itself -------------------------------------------------------------------
def setting(ask: str) -> Setting:
    paper = paper_from_data({"title": "One", "questions": [{"given": [SIDES], "ask": [ask]}]})
    return set_out(paper, paper.questions[0], place(paper.questions[0]), 1.0)


ORTHOCENTRE = setting("Mark the orthocentre of triangle ABC.")


def test_every_pair_and_sometimes_all_three_are_preferred() -> None:
    """Each of the three pairs by about 30 % of pupils, all three lines by 10 %."""
    counts: dict[frozenset[int], int] = {}
    for seed in range(2000):
        (order,) = preferences(ORTHOCENTRE, np.random.default_rng(seed))
        lines = frozenset(order)
        counts[lines] = counts.get(lines, 0) + 1
    for pair in combinations(range(3), 2):
        assert counts[frozenset(pair)] == pytest.approx(600, abs=80)
    assert counts[frozenset(range(3))] == pytest.approx(200, abs=50)


@pytest.mark.parametrize("order", [(0, 1), (2, 0), (1, 2), (2, 1, 0)])
def test_a_pupil_draws_the_lines_preferred_and_the_marks_stay_the_same(order: Order) -> None:
    taken = preferred(ORTHOCENTRE, (order,))
    every = (*ORTHOCENTRE.answers[0].elements, *ORTHOCENTRE.answers[0].instead)
    drawn = [s.element for s in taken.working.steps]
    assert drawn == [*(every[k].name for k in order), "orthocentre of triangle ABC"]
    wanted = [c.subject for c in taken.question.scheme if c.kind == "evidence"]
    assert [e.name for e in taken.working.steps[-1].evidence] == wanted


@pytest.mark.parametrize("kind", ["centroid", "circumcentre", "incentre", "orthocentre"])
@pytest.mark.parametrize("sides", [(9, 5, 6), (9, 8, 7)], ids=str)
def test_the_printed_frame_holds_whichever_lines_a_pupil_prefers(
    sides: tuple[int, int, int], kind: str, tmp_path: Path
) -> None:
    """Frames were once as low as the model answer's own two lines allow: too low for an altitude
    of an obtuse triangle, or for arcs on both sides of its longest side."""
    given = "Triangle ABC has AB = {} cm, BC = {} cm and AC = {} cm.".format(*sides)
    one = {"given": [given], "ask": [f"Mark the {kind} of triangle ABC."]}
    paper = paper_from_data({"title": "Three", "questions": [one] * 3})
    pages = print_paper(paper, tmp_path, ["Nobody Real"]).sheets[0].pages
    printed = [on for page in pages for on in page.questions]
    for asked, on in zip(paper.questions, printed, strict=True):
        laid = set_out(paper, asked, on, 1.0)
        for order in permutations(range(3)):
            taken = preferred(laid, (order,))
            assert taken is not laid
            parts = [part for e in taken.working.steps[-1].evidence for part in e.parts]
            assert all(part.both_sides for part in parts)


def test_lines_that_are_named_leave_no_choice() -> None:
    named = setting("Mark the point where the median from A to BC meets the median from B to AC.")
    assert preferences(named, np.random.default_rng(1)) == ((),)
    assert preferred(named, ((),)) is named
