"""A paper's text and the form that writes it: what the form does not show stays as it is."""

from __future__ import annotations

import io
from typing import Any

from ruamel.yaml import YAML

from millimark.errors import PaperError, RecordsError
from millimark.paper.fields import load, plain
from millimark.paper.reading import MOST_QUESTIONS

Data = dict[str, Any]

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
    """The text as plain data with a list of questions; PaperError if it is no paper at all."""
    data = plain(load(text, None).value)
    if not isinstance(data, dict) or not isinstance(data.get("questions"), list):
        raise PaperError(
            "The text is not a paper: it has no list of questions.",
            "Write 'title:' and 'questions:' as the paper file says.",
        )
    return data


def text_of(data: Data) -> str:
    """The data as a paper file's text."""
    out = io.StringIO()
    yaml = YAML(pure=True)
    yaml.default_flow_style = False
    yaml.allow_unicode = True
    yaml.width = 10_000
    yaml.dump(data, out)
    return out.getvalue()


def question_at(data: Data, place: int) -> Data:
    """The question at a place, from 1; RecordsError if there is none."""
    questions = data["questions"]
    if not 1 <= place <= len(questions) or not isinstance(questions[place - 1], dict):
        raise RecordsError(f"There is no question {place} in this paper.", "Choose another.")
    found: Data = questions[place - 1]
    return found


def lines_of(value: object) -> str:
    """A question's sentences as the form shows them, one a line."""
    several = value if isinstance(value, list) else [value] if value else []
    return "\n".join(" ".join(str(one).split()) for one in several)


def with_form(data: Data, place: int, form: dict[str, str]) -> Data:
    """The paper with what the form says about it and about one question."""
    question = dict(question_at(data, place))
    for key in ("given", "ask"):
        question[key] = [line.strip() for line in form.get(key, "").splitlines() if line.strip()]
    _set(question, "story", " ".join(form.get("story", "").split()))
    marks = form.get("marks", "").strip()
    _set(question, "marks", int(marks) if marks.isascii() and marks.isdigit() else marks)
    questions = [*data["questions"]]
    questions[place - 1] = question
    changed = {**data, "questions": questions}
    if "title" in form:
        changed["title"] = " ".join(form["title"].split())
    return changed


def _set(question: Data, key: str, value: object) -> None:
    if value == "":
        question.pop(key, None)
    else:
        question[key] = value


def with_question(data: Data, question: Data | None = None) -> Data:
    """The paper with one more question at its end."""
    if len(data["questions"]) >= MOST_QUESTIONS:
        raise RecordsError(
            f"The paper has {MOST_QUESTIONS} questions already.", "Begin another paper."
        )
    return {**data, "questions": [*data["questions"], dict(question or _FRESH)]}


def without_question(data: Data, place: int) -> Data:
    """The paper without one question; RecordsError for the last one left."""
    question_at(data, place)
    if len(data["questions"]) == 1:
        raise RecordsError("A paper keeps at least one question.", "Write another one first.")
    return {**data, "questions": [q for i, q in enumerate(data["questions"], 1) if i != place]}
