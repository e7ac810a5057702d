"""The question bank: every question solves, fits A4, is fair, and its marks add up."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner

from millimark.bank.shelf import ABOUT, BankQuestion, bank, by_id, chosen, paper_file
from millimark.cli.bank_command import command
from millimark.errors import PaperError
from millimark.loci.solve import solve
from millimark.paper.editions import is_fair, variants
from millimark.paper.fields import Field
from millimark.paper.question_pages import plan_paper
from millimark.paper.reading import PaperSource, read_paper

# G2, G5, G15, R2: DfE, GCSE mathematics content (2013) [V2]; the rest: Common Core [V2].
CODES = {"G2", "G5", "G15", "R2", "G-CO.D.12", "G-CO.D.13", "G-C.A.3", "G-C.A.4"}


def source(question: BankQuestion) -> PaperSource:
    data = {"title": question.id, "questions": [dict(question.content)]}
    return PaperSource(Field(data, question.id))


def test_the_bank_is_large_and_its_names_are_distinct() -> None:
    assert len(bank()) >= 60
    assert max(Counter(q.id for q in bank()).values()) == 1
    assert {q.level for q in bank()} == {1, 2, 3, 4, 5}
    assert len({q.topic for q in bank()}) >= 15


@pytest.mark.parametrize("question", bank(), ids=[q.id for q in bank()])
def test_a_question_solves_fits_a4_is_fair_and_its_marks_add_up(question: BankQuestion) -> None:
    read = source(question)
    paper = read.paper()
    (asked,) = paper.questions
    plan_paper(paper, "7K2QXW")  # FitError if it does not fit A4
    assert is_fair(asked), "a careful hand fails more than once in 20"
    assert asked.marks == len(asked.scheme) >= 2
    for answer in (solve(asked.figure, ask) for ask in asked.asks):
        for element in answer.elements if answer.region is not None else ():
            assert sum(c.length for c in element.needed) > 1.0, f"{element.name} bounds nothing"
    assert set(question.codes) <= CODES


@pytest.mark.parametrize("question", [q for q in bank() if q.varies], ids=lambda q: q.id)
def test_questions_that_vary_have_several_sound_variants(question: BankQuestion) -> None:
    (read,) = source(question).questions
    assert len(variants(read, 6)) >= 3


@pytest.mark.parametrize("question", bank(), ids=[q.id for q in bank()])
def test_a_story_names_no_length_that_its_ask_contradicts(question: BankQuestion) -> None:
    """Lengths told in a story stand in its sentences too (or in 'choose')."""
    told = re.findall(r"[0-9.]+ (?:cm|m|km)\b", question.content.get("story", ""))
    said = " ".join((*question.content["given"], *question.content["ask"]))
    for length in told:
        assert length in said


def test_filters_and_ids() -> None:
    assert all("region" in q.topic for q in chosen(topic="REGION"))
    assert {q.level for q in chosen(level=5)} == {5}
    assert all("G15" in q.codes for q in chosen(code="g15"))
    assert all(q.varies for q in chosen(varies=True))
    assert [q.id for q in by_id(["ladder", "lamp"])] == ["ladder", "lamp"]
    with pytest.raises(PaperError, match="Did you mean 'ladder'"):
        by_id(["laddr"])


def test_a_built_paper_is_read_back_with_its_questions(tmp_path: Path) -> None:
    path = tmp_path / "paper.yaml"
    path.write_text(paper_file("Practice", by_id(["lamp", "fold-variants", "launch"])), "utf-8")
    paper = read_paper(path)
    assert paper.title == "Practice"
    assert [q.marks for q in paper.questions] == [2, 2, 3]
    assert not any(key in path.read_text("utf-8") for key in (f"{k}:" for k in ABOUT))
    with pytest.raises(PaperError, match="No question"):
        paper_file("Empty", [])


def test_the_command_lists_filters_and_builds(tmp_path: Path) -> None:
    run = CliRunner().invoke
    listed = run(command, ["--topic", "tangent"])
    assert listed.exit_code == 0
    assert "tangents" in listed.output
    found = json.loads(run(command, ["--level", "1", "--json"]).output)
    assert {q["level"] for q in found} == {1}
    out = tmp_path / "paper.yaml"
    built = run(command, ["--pick", "lamp", "--pick", "plank", "--out", str(out)])
    assert built.exit_code == 0, built.output
    assert len(read_paper(out).questions) == 2
    again = run(command, ["--pick", "lamp", "--out", str(out)])
    assert "exists already" in str(again.exception)
