"""Reading a paper file: YAML, then words, then answers, then the marks.

Everything that is wrong is said before anything is printed, with file, line and column
where the file has them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from millimark.errors import (
    FitError,
    GivensError,
    MillimarkError,
    NoAnswerError,
    PaperError,
    PlanError,
    SourceError,
    WordsError,
)
from millimark.loci.answer import Answer
from millimark.loci.solve import solve
from millimark.paper.fields import Field, load, plain
from millimark.paper.formats import PAGE_NAMES, PageFormat, page_format
from millimark.paper.question import Paper, Question, Tolerance
from millimark.paper.room import whole_room_cm
from millimark.paper.scheme import EvidenceBy, default_scheme
from millimark.paper.units import angle_deg, length_cm, length_mm
from millimark.words.reading import understand
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

if TYPE_CHECKING:
    from millimark.words.reading import Understood

PROFILES = ("arcs required", "any method")
PAPER_KEYS = ("title", "page", "profile", "instruments", "tolerance", "questions")
QUESTION_KEYS = ("story", "given", "ask", "marks", "tolerance")
RESERVED = ("scale", "choose", "scheme", "class")
MOST_QUESTIONS = 40
MOST_MARKS = 20


def read_paper(path: Path) -> Paper:
    """The paper in a YAML file. PaperError points at what is wrong; SourceError if unreadable."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise SourceError(
            f"There is no paper file {path}.", "Check the name and the folder."
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        raise SourceError(
            f"The paper file {path} cannot be read: {error}.",
            "A paper is a text file in UTF-8 with the ending .yaml.",
        ) from error
    return _paper(load(text, str(path)))


def paper_from_data(data: Mapping[str, Any], file: str | None = None) -> Paper:
    """The paper whose content is ``data``: what layout.json keeps, or a program made."""
    return _paper(Field(data, "the paper", file))


def _paper(whole: Field) -> Paper:
    fields = whole.fields((*PAPER_KEYS, *RESERVED))
    _refuse_reserved(fields)
    for key in ("title", "questions"):
        if key not in fields:
            raise whole.wrong(
                f"The paper has no {key!r}.", "Every paper needs title and questions."
            )
    page = fields["page"].one_of(PAGE_NAMES) if "page" in fields else "A4"
    profile = fields["profile"].one_of(PROFILES) if "profile" in fields else PROFILES[0]
    setting = _Setting(
        page=page_format(page),
        instruments=_instruments(fields.get("instruments")),
        tolerance=_tolerance(fields.get("tolerance"), Tolerance()),
        arcs_required=profile == PROFILES[0],
    )
    return Paper(
        title=fields["title"].text(),
        page=page,
        instruments=setting.instruments,
        arcs_required=setting.arcs_required,
        questions=_questions(fields["questions"], setting),
        data=plain(whole.value),
    )


@dataclass(frozen=True)
class _Setting:
    """What a paper says for all of its questions."""

    page: PageFormat
    instruments: Instruments
    tolerance: Tolerance
    arcs_required: bool


def _questions(field: Field, setting: _Setting) -> tuple[Question, ...]:
    if not isinstance(field.value, Sequence) or isinstance(field.value, str) or not field.value:
        raise field.wrong(
            "'questions' should be a list with at least one question.",
            "Each question starts with '- ' and has 'given' and 'ask'.",
        )
    entries = list(field.items())
    if len(entries) > MOST_QUESTIONS:
        raise field.wrong(
            f"There are {len(entries)} questions; a paper holds at most {MOST_QUESTIONS}.",
            "Split it into two papers.",
        )
    return tuple(_question(e, str(i), setting) for i, e in enumerate(entries, start=1))


def _question(entry: Field, number: str, setting: _Setting) -> Question:
    fields = entry.fields((*QUESTION_KEYS, *RESERVED))
    _refuse_reserved(fields)
    for key in ("given", "ask"):
        if key not in fields:
            raise entry.wrong(
                f"Question {number} has no {key!r}.",
                "A question needs 'given' (what is printed) and 'ask' (what is to be drawn).",
            )
    given, ask = _sentences(fields["given"]), _sentences(fields["ask"])
    understood = _understood(number, given, ask)
    question = Question(
        number=number,
        story=fields["story"].text() if "story" in fields else None,
        given=tuple(f.text() for f in given),
        ask=tuple(f.text() for f in ask),
        figure=understood.figure,
        asks=understood.asks,
        marks=0,
        tolerance=_tolerance(fields.get("tolerance"), setting.tolerance),
        scheme=(),
        answers=_answers(understood, fields["ask"], number),
        notes=tuple(understood.notes),
    )
    evidence = _evidence(question, setting, fields["ask"])
    marks = fields["marks"].number(1, MOST_MARKS) if "marks" in fields else None
    try:
        scheme = default_scheme(
            question.answers,
            question.tolerance,
            evidence,
            arcs_required=setting.arcs_required,
            marks=marks,
        )
    except PaperError as error:
        raise _pointed(error, fields.get("marks", entry), number) from error
    return replace(question, scheme=scheme, marks=len(scheme))


def _answers(understood: Understood, field: Field, number: str) -> tuple[Answer, ...]:
    """The answers in order; one that leaves nothing to draw is refused."""
    try:
        answers = tuple(solve(understood.figure, a) for a in understood.asks)
    except (GivensError, NoAnswerError) as error:
        raise _pointed(error, field, number) from error
    for answer, what in zip(answers, field.items(), strict=False):
        if answer.special is not None or not answer.elements:
            raise what.wrong(
                f"Question {number}: {_COLLAPSED.get(answer.special or '', 'nothing is left')}, "
                "so there is nothing to draw.",
                "Change a length or a condition.",
            )
    return answers


_COLLAPSED = {
    "empty": "no point does what is asked",
    "everything": "every point does what is asked",
    "point": "only a single point does what is asked",
    "points": "only single points do what is asked",
    "curve": "only the points of a line do what is asked",
}


def _evidence(question: Question, setting: _Setting, field: Field) -> EvidenceBy:
    """What each construction leaves on the paper, by element."""
    try:
        working = plan(
            question.figure, question.answers, setting.instruments, whole_room_cm(setting.page)
        )
    except (FitError, PlanError) as error:
        message = f"Question {question.number}: {error.message}"
        raise type(error)(message, error.hint) from error
    return {step.element: step.evidence for step in working.steps}


def _sentences(field: Field) -> list[Field]:
    entries = list(field.items())
    if not entries:
        raise field.wrong(f"{field.name} has no sentence.", "Write at least one.")
    for entry in entries:
        entry.text()
    return entries


def _understood(number: str, given: list[Field], ask: list[Field]) -> Understood:
    """What the words say; a sentence that is not understood is pointed at in the file."""
    try:
        return understand([f.text() for f in given], [f.text() for f in ask])
    except WordsError as error:
        for field in (*given, *ask):
            if field.text() == " ".join(error.sentence.split()):
                raise field.wrong(
                    f"Question {number}: {error.message}", error.hint, along=error.column - 1
                ) from error
        raise _pointed(error, given[0], number) from error
    except (GivensError, NoAnswerError) as error:
        where = ask[0] if error.message.startswith("The ask") else given[0]
        raise _pointed(error, where, number) from error


def _pointed(error: MillimarkError, field: Field, number: str) -> PaperError:
    return field.wrong(f"Question {number}: {error.message}", error.hint)


def _instruments(field: Field | None) -> Instruments:
    usual = Instruments()
    if field is None:
        return usual
    fields = field.fields(("ruler", "compasses", "protractor"))
    return Instruments(
        ruler_cm=fields["ruler"].quantity(length_cm) if "ruler" in fields else usual.ruler_cm,
        compasses_cm=(
            fields["compasses"].quantity(length_cm) if "compasses" in fields else usual.compasses_cm
        ),
        compasses_min_cm=usual.compasses_min_cm,
        protractor=fields["protractor"].truth() if "protractor" in fields else usual.protractor,
    )


def _tolerance(field: Field | None, usual: Tolerance) -> Tolerance:
    if field is None:
        return usual
    fields = field.fields(("length", "angle"))
    return Tolerance(
        length_mm=fields["length"].quantity(length_mm) if "length" in fields else usual.length_mm,
        angle_deg=fields["angle"].quantity(angle_deg) if "angle" in fields else usual.angle_deg,
    )


def _refuse_reserved(fields: Mapping[str, Field]) -> None:
    for key in RESERVED:
        if key in fields:
            raise fields[key].wrong(
                f"{key!r} is kept for a later version of Millimark and is not read yet.",
                "Leave it out for now.",
            )
