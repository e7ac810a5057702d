"""The rules of the marks, on facts written by hand."""

from __future__ import annotations

import numpy as np
import pytest

from millimark.paper.question import Criterion, Tolerance
from millimark.rehearsal.arc_facts import EvidenceFacts
from millimark.rehearsal.deserved import Deserved, decide
from millimark.rehearsal.facts import ElementFacts, RegionFacts

TWO = Tolerance(2.0, 2.0)
LINE = Criterion("B1", "line", "line", "l", least_mm=30.0)
ANGLED = Criterion("A1", "line", "line", "l", least_mm=30.0, angle=True, needs=(0,))
SOME = Criterion("B1", "some", "line", "c", least_share=1 / 6)
WHOLE = Criterion("B1", "whole", "line", "c", least_share=0.9, needs=(0,))
ARCS = Criterion("M1", "arcs", "evidence", "arcs")
SHADE = Criterion("B1", "region", "region", "region", needs=(0, 1))


def drawn(name: str, worst: float, gaps: list[float], angle: float | None = None) -> ElementFacts:
    """Facts of an element whose needed locus has these gaps from the pencil, 0.2 mm apart."""
    values = np.array(gaps)
    needed = {"all": values, "straight": values, "round": np.empty(0)}
    return ElementFacts(
        name, "line", True, 0.2 * len(gaps), worst, worst / 2, worst, 0.0, angle, None, None, needed
    )


def one(criteria: tuple[Criterion, ...], facts: ElementFacts, slack: float = 1.0) -> Deserved:
    evidence = {"arcs": EvidenceFacts("arcs", slack > 0, slack)}
    return decide(criteria, TWO, {facts.element: facts}, evidence, None)[-1]


@pytest.mark.parametrize(
    ("worst", "length", "decision", "clear"),
    [
        (1.0, 60, "awarded", True),
        (1.9, 60, "awarded", False),
        (2.1, 60, "withheld", False),
        (2.6, 60, "withheld", True),
        (1.0, 29.6, "withheld", False),
        (1.0, 20, "withheld", True),
    ],
)
def test_a_line_is_long_and_close(worst: float, length: float, decision: str, clear: bool):
    mark = one((LINE,), drawn("l", worst, [min(worst, 1.9)] * round(length / 0.2)))
    assert (mark.decision, mark.clear) == (decision, clear)


@pytest.mark.parametrize(
    ("angle", "decision", "clear"),
    [(0.5, "awarded", True), (1.9, "awarded", False), (2.1, "withheld", False),
     (4.0, "withheld", True)],
)  # fmt: skip
def test_an_angle_counts_where_the_scheme_says_so(angle: float, decision: str, clear: bool):
    mark = one((ARCS, ANGLED), drawn("l", 1.0, [1.0] * 300, angle))
    assert (mark.decision, mark.clear) == (decision, clear)
    assert one((LINE,), drawn("l", 1.0, [1.0] * 300, angle)).decision == "awarded"


def test_an_accuracy_mark_needs_its_method():
    mark = one((ARCS, ANGLED), drawn("l", 1.0, [1.0] * 300, 0.3), slack=-3.0)
    assert (mark.decision, mark.clear) == ("withheld", True)
    doubtful = one((ARCS, ANGLED), drawn("l", 1.0, [1.0] * 300, 0.3), slack=-0.1)
    assert (doubtful.decision, doubtful.clear) == ("withheld", False)


@pytest.mark.parametrize(
    ("share", "decision", "clear"),
    [(1.0, "awarded", True), (0.92, "awarded", False), (0.88, "withheld", False),
     (0.5, "withheld", True)],
)  # fmt: skip
def test_coverage_decides_the_whole(share: float, decision: str, clear: bool):
    gaps = [0.3] * round(1000 * share) + [9.0] * round(1000 * (1 - share))
    mark = one((SOME, WHOLE), drawn("c", 0.3, gaps))
    assert (mark.decision, mark.clear) == (decision, clear)


def test_a_radius_near_the_tolerance_is_borderline_whatever_its_coverage():
    inside = one((SOME, WHOLE), drawn("c", 1.9, [1.9] * 500))
    outside = one((SOME, WHOLE), drawn("c", 2.1, [2.1] * 500))
    assert (inside.decision, inside.clear) == ("awarded", False)
    assert (outside.decision, outside.clear) == ("withheld", False)
    assert inside.margin_mm == pytest.approx(0.1)


def test_nothing_drawn_is_clear():
    far = dict.fromkeys(("all", "straight", "round"), np.full(9, np.inf))
    nothing = (None,) * 7
    absent = ElementFacts("c", "arc", False, 0.0, *nothing, far)
    assert one((SOME,), absent) == Deserved("B1", "some", "withheld", deciding="nothing drawn")


@pytest.mark.parametrize(
    ("facts", "decision", "clear"),
    [
        (RegionFacts(True, 0.97, 0.98, 0.95), "awarded", True),
        (RegionFacts(True, 0.05, 0.06, 0.03), "withheld", True),
        (RegionFacts(True, 0.52, 0.9, 0.5), "awarded", False),
        (RegionFacts(False, 0.0, 0.0, 0.0), "withheld", True),
    ],
)
def test_a_region_follows_through_on_one_boundary(facts: RegionFacts, decision: str, clear: bool):
    good, bad = drawn("l", 0.5, [0.5] * 300), drawn("c", 5.0, [5.0] * 300)
    marks = decide((LINE, SOME, SHADE), TWO, {"l": good, "c": bad}, {}, facts)
    assert [m.decision for m in marks[:2]] == ["awarded", "withheld"]
    assert (marks[2].decision, marks[2].clear) == (decision, clear)


def test_a_region_without_any_boundary_earns_nothing():
    bad = drawn("l", 5.0, [5.0] * 300), drawn("c", 5.0, [5.0] * 300)
    facts = RegionFacts(True, 1.0, 1.0, 1.0)
    marks = decide((LINE, SOME, SHADE), TWO, {e.element: e for e in bad}, {}, facts)
    assert (marks[2].decision, marks[2].clear) == ("withheld", True)
