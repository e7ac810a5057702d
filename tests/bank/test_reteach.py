"""Questions of the bank for what went wrong: about the fault, easy first, never the same again."""

from __future__ import annotations

import pytest

from millimark.bank.reteach import PRACTISED, Seen, paper, suggest, topic_of
from millimark.bank.shelf import bank
from millimark.marking.summary import ADVICE
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource

BISECTOR = (
    ("S and T are 7 cm apart.",),
    ("Draw the locus of points that are the same distance from S as from T.",),
)
STADIUM = (
    ("PQ is 6 cm long.",),
    ("Draw the locus of points that are 2 cm from the line segment PQ.",),
)
REGION = (
    ("Triangle ABC has AB = 7 cm, BC = 6 cm and AC = 5 cm.",),
    ("Shade the region that is nearer to A than to B and less than 4 cm from C.",),
)


def test_without_faults_nothing_is_suggested() -> None:
    assert suggest([]) == ()


@pytest.mark.parametrize(
    ("asked", "topic"),
    [(BISECTOR, "perpendicular bisector"), (STADIUM, "round a segment"),
     (REGION, "region in a triangle")],
)  # fmt: skip
def test_the_kind_of_a_question_is_told_from_its_sentences(
    asked: tuple[tuple[str, ...], tuple[str, ...]], topic: str
) -> None:
    assert topic_of(*asked) == topic


def test_every_question_of_the_bank_is_of_its_own_topic() -> None:
    for q in bank():
        given, ask = (tuple(q.content[k]) for k in ("given", "ask"))
        assert topic_of(given, ask) == q.topic, q.id


def test_every_topic_and_fault_that_is_named_exists() -> None:
    topics = {q.topic for q in bank()}
    assert set(PRACTISED) <= set(ADVICE)
    assert {t for named in PRACTISED.values() for t in named} <= topics


def test_each_fault_gets_a_question_of_its_kind_and_none_comes_twice() -> None:
    seen = [Seen("no-arcs", 4, *BISECTOR), Seen("squared-ends", 3, *STADIUM),
            Seen("wrong-side", 2, *REGION), Seen("freehand", 1, *STADIUM)]  # fmt: skip
    found = suggest(seen)
    assert len({s.question.id for s in found}) == len(found) == 6
    assert {s.fault for s in found} == {"no-arcs", "squared-ends", "wrong-side", "freehand"}
    kinds = {s.fault: s.question.topic for s in found}
    assert kinds["no-arcs"] == "perpendicular bisector"
    assert kinds["squared-ends"] == kinds["freehand"] == "round a segment"
    assert kinds["wrong-side"].startswith("region")
    assert [s.question.level for s in found] == sorted(s.question.level for s in found)


def test_where_there_is_room_for_few_the_commonest_faults_are_met() -> None:
    seen = [Seen("no-arcs", 1, *BISECTOR), Seen("squared-ends", 5, *STADIUM)]
    assert [s.fault for s in suggest(seen, 1)] == ["squared-ends"]


def test_the_question_itself_is_not_set_again() -> None:
    for q in bank()[:12]:
        given, ask = (tuple(q.content[k]) for k in ("given", "ask"))
        assert q.id not in {s.question.id for s in suggest([Seen("blank", 2, given, ask)])}


def test_the_paper_reminds_before_each_story_and_reads_well() -> None:
    found = suggest([Seen("no-arcs", 4, *BISECTOR), Seen("wrong-side", 2, *REGION)])
    text = paper("Once more", [(s.question, ADVICE[s.fault][1]) for s in found])
    made = PaperSource(load(text, None)).paper()
    assert len(made.questions) == len(found)
    for question, s in zip(made.questions, found, strict=True):
        assert question.story.startswith(f"Remember: {ADVICE[s.fault][1][0].lower()}")
        assert ADVICE[s.fault][1][1:] in question.story
        assert question.story.endswith(str(s.question.content.get("story", "")))
    (first, *_) = found
    assert "Remember" not in paper("Once more", [(first.question, "")])
