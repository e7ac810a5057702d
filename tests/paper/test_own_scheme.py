"""A teacher's own criteria: read, pointed at where wrong; profiles by country."""

from __future__ import annotations

import pytest

from millimark.errors import PaperError
from millimark.paper.question import Criterion

from .papers import ANGLE, BISECTOR, CIRCLE, REGION, STADIUM, paper_of


def own(question: dict[str, object], *lines: str, **more: object) -> tuple[Criterion, ...]:
    return paper_of({**question, "scheme": list(lines), **more}).questions[0].scheme


def test_method_and_accuracy_for_a_bisector() -> None:
    arcs, line = own(
        BISECTOR,
        "M1 arcs for the perpendicular bisector of AB",
        "A1 at least 40 mm of the perpendicular bisector of AB, needs 1",
    )
    assert (arcs.code, arcs.kind) == ("M1", "evidence")
    assert arcs.arcs is not None
    assert (line.code, line.least_mm, line.needs, line.angle) == ("A1", 40.0, (0,), True)


def test_shares_parts_and_regions() -> None:
    some, whole = own(CIRCLE, "B1 some of the circle, centre C, radius 4.5 cm",
                      "B1: all of the circle, centre C, radius 4.5 cm, needs 1.")  # fmt: skip
    assert some.least_share == pytest.approx(1 / 6)
    assert (whole.least_share, whole.needs) == (pytest.approx(0.9), (0,))
    parts = own(STADIUM, "B1 straight parts of points 2 cm from the line segment EF",
                "B1 the round parts of points 2 cm from the line segment EF")  # fmt: skip
    assert [p.part for p in parts] == ["straight", "round"]
    marks = own(REGION, "B1 the bisector of angle QPR", "B1 circle, centre Q, radius 5 cm",
                "B1 region, needs 1 or 2")  # fmt: skip
    assert [m.kind for m in marks] == ["line", "line", "region"]
    assert marks[2].needs == (0, 1)


def test_one_line_is_one_mark() -> None:
    assert paper_of({**CIRCLE, "scheme": ["B1 all of circle, centre C, radius 4.5 cm"]}).questions[
        0
    ].marks == 1  # fmt: skip
    with pytest.raises(PaperError, match="has 2 marks, but its scheme gives 1"):
        own(CIRCLE, "B1 all of circle, centre C, radius 4.5 cm", marks=2)


WRONG = {
    "no code": (CIRCLE, "the circle", "starts with M1, A1 or B1"),
    "unknown element": (CIRCLE, "B1 all of the circle, centre D, radius 4.5 cm", "Did you mean"),
    "no region": (CIRCLE, "B1 region", "No region is asked for"),
    "no arcs": (CIRCLE, "B1 arcs for the circle, centre C, radius 4.5 cm", "No arcs show"),
    "needs itself": (CIRCLE, "B1 some of circle, centre C, radius 4.5 cm, needs 1", "above it"),
    "accuracy alone": (BISECTOR, "A1 the perpendicular bisector of AB", "needs no method mark"),
    "no straight part": (
        CIRCLE,
        "B1 straight parts of circle, centre C, radius 4.5 cm",
        "has no straight parts",
    ),
}


@pytest.mark.parametrize(("question", "line", "said"), WRONG.values(), ids=WRONG)
def test_what_is_not_understood_is_said(question: dict[str, object], line: str, said: str) -> None:
    with pytest.raises(PaperError, match=said):
        own(question, line)


@pytest.mark.parametrize(
    ("profile", "arcs"),
    [("England", True), ("Wales", False), ("US", True), ("Ireland", True), ("any method", False)],
)
def test_profiles_say_whether_arcs_must_show(profile: str, arcs: bool) -> None:
    # Wales: WJEC guidance 2024-25 [V], any valid method. England G2, US G-CO.D.12 [V2].
    paper = paper_of(BISECTOR, ANGLE, profile=profile)
    assert paper.arcs_required == arcs
    assert paper.profile == profile
    kinds = {c.kind for q in paper.questions for c in q.scheme}
    assert ("evidence" in kinds) == arcs
