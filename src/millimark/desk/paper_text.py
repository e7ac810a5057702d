"""A paper's text and the forms that write it. What no form shows stays as it is, and so do the
comments that a teacher wrote between the lines."""

from __future__ import annotations

import io
from collections.abc import Callable
from difflib import SequenceMatcher
from functools import lru_cache
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.util import load_yaml_guess_indent

from millimark.desk.paper_fields import PAPER_FIELDS, QUESTION_FIELDS, Changes, apply, changes_in
from millimark.errors import PaperError, RecordsError
from millimark.paper.fields import load, plain
from millimark.paper.reading import MOST_QUESTIONS

Data = dict[str, Any]
Form = dict[str, str]

FIRST: Data = {
    "title": "Untitled paper",
    "page": "A4",
    "questions": [
        {
            "given": ["A and B are 8 cm apart."],
            "ask": ["Draw the locus of points that are the same distance from A as from B."],
        }
    ],
}
"""What a new paper starts from: a question that works."""
_FRESH: Data = {"given": [""], "ask": [""]}


def data_of(text: str) -> Data:
    """The text as plain data with a list of questions, to be read only; PaperError if it is no
    paper at all."""
    data = _plain(text)
    if not isinstance(data, dict) or not isinstance(data.get("questions"), list):
        raise PaperError(
            "The text is not a paper: it has no list of questions.",
            "Write 'title:' and 'questions:' as the paper file says.",
        )
    if not data["questions"]:
        raise PaperError("The paper has no question.", "Write at least one under 'questions:'.")
    return data


@lru_cache(maxsize=32)
def _plain(text: str) -> Any:
    return plain(load(text, None).value)


def text_of(data: Data) -> str:
    """The data as a paper file's text."""
    out = io.StringIO()
    _yaml(2).dump(data, out)
    return out.getvalue()


def question_at(data: Data, place: int) -> Data:
    """The question at a place, from 1; RecordsError if there is none."""
    questions = data["questions"]
    if not 1 <= place <= len(questions) or not isinstance(questions[place - 1], dict):
        raise RecordsError(f"There is no question {place} in this paper.", "Choose another.")
    found: Data = questions[place - 1]
    return found


def with_form(text: str, place: int, form: Form) -> str:
    """The text with what the form says about the paper and about one question."""
    data = data_of(text)
    about_paper, about_question = _changes(data, place, form)
    if not about_paper and not about_question:
        return text

    def change(paper: CommentedMap) -> None:
        apply(paper, about_paper)
        apply(paper["questions"][place - 1], about_question)

    return _edited(text, change)


def data_with_form(data: Data, place: int, form: Form) -> Data:
    """The same change to the data alone, which is left as it was: what a preview is made of."""
    about_paper, about_question = _changes(data, place, form)
    questions = [*data["questions"]]
    questions[place - 1] = apply(plain(question_at(data, place)), about_question)
    rest = plain({key: value for key, value in data.items() if key != "questions"})
    return {**apply(rest, about_paper), "questions": questions}


def _changes(data: Data, place: int, form: Form) -> tuple[Changes, Changes]:
    question = question_at(data, place)
    return (
        changes_in(PAPER_FIELDS, data, form),
        changes_in(QUESTION_FIELDS, question, form),
    )


def with_question(text: str, question: Data | None = None) -> str:
    """The text with one more question at its end."""
    if len(data_of(text)["questions"]) >= MOST_QUESTIONS:
        raise RecordsError(
            f"The paper has {MOST_QUESTIONS} questions already.", "Begin another paper."
        )
    return _edited(text, lambda paper: paper["questions"].append(_nodes(question or _FRESH)))


def without_question(text: str, place: int) -> str:
    """The text without one question; RecordsError for the last one left."""
    data = data_of(text)
    question_at(data, place)
    if len(data["questions"]) == 1:
        raise RecordsError("A paper keeps at least one question.", "Write another one first.")
    return _edited(text, lambda paper: paper["questions"].pop(place - 1))


def _edited(text: str, change: Callable[[CommentedMap], Any]) -> str:
    """The text after a change to what it holds; comments on lines of their own all stay."""
    _, _, dash = load_yaml_guess_indent(text)
    yaml = _yaml(dash or 0)
    paper = yaml.load(text)
    change(paper)
    out = io.StringIO()
    yaml.dump(paper, out)
    made = out.getvalue()
    kept = _with_comments(text, made)
    return kept if _plain(kept) == _plain(made) else made


def _with_comments(before: str, after: str) -> str:
    """``after`` with the comment lines of ``before`` that it lost, each below the line that it
    stood below."""
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    pairs = SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    place = {b.a + k: b.b + k for b in pairs for k in range(b.size)}
    lost: dict[int, list[str]] = {}
    below = -1
    for number, line in enumerate(old):
        if number in place:
            below = place[number]
        elif line.lstrip().startswith("#"):
            lost.setdefault(below, []).append(line)
    made = lost.get(-1, [])
    for number, line in enumerate(new):
        made = [*made, line, *lost.get(number, [])]
    return "".join(made)


def _nodes(value: Any) -> Any:
    """Plain data as nodes that are written a line each."""
    if isinstance(value, dict):
        return CommentedMap((key, _nodes(each)) for key, each in value.items())
    if isinstance(value, list):
        return CommentedSeq(_nodes(each) for each in value)
    return value


def _yaml(dash: int) -> YAML:
    """A reader and writer that keeps quotes and comments; ``dash``: spaces before each '-'."""
    yaml = YAML(pure=True)
    yaml.preserve_quotes = True
    yaml.allow_unicode = True
    yaml.width = 10_000
    yaml.indent(mapping=2, sequence=dash + 2, offset=dash)
    return yaml
