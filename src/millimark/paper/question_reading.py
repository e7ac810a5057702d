"""One question of a paper file: its sentences with their values, understood and solved."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from millimark.errors import (
    FitError,
    GivensError,
    MillimarkError,
    NoAnswerError,
    PaperError,
    PlanError,
    WordsError,
)
from millimark.loci.answer import Answer
from millimark.loci.conditions import AngleOn, Ask, ShadeRegion
from millimark.loci.figure import Figure
from millimark.loci.pointed import is_of_points
from millimark.loci.solve import solve
from millimark.paper.choices import Combination, filled
from millimark.paper.fields import Field
from millimark.paper.formats import PAGE_NAMES, PageFormat, page_format
from millimark.paper.map_marks import needs_north
from millimark.paper.own_scheme import own_scheme
from millimark.paper.placing import whole_box
from millimark.paper.question import Question, Tolerance
from millimark.paper.room import half_room_cm, whole_room_cm
from millimark.paper.scheme import EvidenceBy, default_scheme
from millimark.paper.turning import LAST_TURNS, PLEASANT_TURNS, turned
from millimark.paper.units import angle_deg, length_mm, turn_deg
from millimark.paper.variation import MIRROR, TURN, read_variation
from millimark.words.reading import understand
from millimark.working.acts import Working
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

if TYPE_CHECKING:
    from millimark.words.reading import Understood

QUESTION_KEYS = (
    "story", "given", "ask", "marks", "scheme", "tolerance", "choose", "turn", "mirror",
    "aid", "scale",
)  # fmt: skip
MOST_MARKS = 20
AIDS = ("grid", "arcs", "stretch")


@dataclass(frozen=True)
class Setting:
    """What a paper says for all of its questions."""

    page: PageFormat
    instruments: Instruments
    tolerance: Tolerance
    arcs_required: bool
    seed: int


class QuestionSource:
    """A question's fields; ``question(values)`` reads it with the values of one sheet."""

    def __init__(self, entry: Field, number: int, setting: Setting) -> None:
        self.entry, self.setting = entry, setting
        self.number, self.index = str(number), number - 1
        self.fields = entry.fields(QUESTION_KEYS)
        self._check_parts()
        self.given, self.ask = _sentences(self.fields["given"]), _sentences(self.fields["ask"])
        if "scale" in self.fields:
            self.given.insert(0, _scale_sentence(self.fields["scale"]))
        self.tolerance = read_tolerance(self.fields.get("tolerance"), setting.tolerance)
        self.aids = (
            tuple(f.one_of(AIDS) for f in self.fields["aid"].items())
            if "aid" in self.fields
            else ()
        )
        if "arcs" in self.aids and "stretch" in self.aids:
            raise self.fields["aid"].wrong(
                f"Question {self.number} has both 'arcs', for support, and 'stretch'.",
                "Leave one of them out.",
            )
        self.variation = read_variation(
            self.number, self.fields, [*self.given, *self.ask], self.tolerance
        )
        self._cache: dict[tuple[tuple[str, str], ...], Question] = {}

    @property
    def varies(self) -> bool:
        """Whether sheets may differ in this question."""
        return self.variation.varies

    def all_values(self) -> Iterator[dict[str, str]]:
        """Every variant of this question in an order that the paper's seed fixes."""
        return self.variation.all_values(self.setting.seed)

    def first(self) -> Question:
        """The question with the first values that work; the first one's error if none do."""
        trouble: MillimarkError | None = None
        for values in self.all_values():
            try:
                return self.question(values)
            except MillimarkError as error:
                trouble = trouble or error
        raise trouble or self.entry.wrong(f"Question {self.number} has no values.")

    def question(self, values: Mapping[str, str]) -> Question:
        """The question with these values, read, turned, solved and with its marks."""
        key = tuple(sorted(values.items()))
        if key not in self._cache:
            self._cache[key] = self._read(values)
        return self._cache[key]

    def _read(self, values: Mapping[str, str]) -> Question:
        names: Combination = tuple((k, v) for k, v in values.items() if k not in (TURN, MIRROR))
        given = [filled(f.text(), names, f) for f in self.given]
        ask = [filled(f.text(), names, f) for f in self.ask]
        understood = self._understood(given, ask)
        story = self.fields.get("story")
        question = Question(
            number=self.number,
            story=None if story is None else filled(story.text(), names, story),
            given=tuple(given),
            ask=tuple(ask),
            figure=understood.figure,
            asks=understood.asks,
            marks=0,
            tolerance=self.tolerance,
            scheme=(),
            notes=tuple(understood.notes),
            scale=understood.scale,
            north=needs_north([*given, *ask]),
            aids=self.aids,
        )
        question, working = self._placed(question, understood, values)
        return self._with_marks(replace(question, working=working), working)

    # --- words ----------------------------------------------------------------------
    def _understood(self, given: list[str], ask: list[str]) -> Understood:
        """What the words say; a sentence that is not understood is pointed at in the file."""
        try:
            return understand(given, ask)
        except WordsError as error:
            for field, text in zip((*self.given, *self.ask), (*given, *ask), strict=True):
                if text == " ".join(error.sentence.split()):
                    message = f"Question {self.number}: {error.message}"
                    along = error.column - 1 if text == field.text() else 0
                    raise field.wrong(message, error.hint, along=along) from error
            raise self._pointed(error, self.given[0]) from error
        except (GivensError, NoAnswerError) as error:
            where = self.ask[0] if error.message.startswith("The ask") else self.given[0]
            raise self._pointed(error, where) from error

    def _pointed(self, error: MillimarkError, field: Field) -> PaperError:
        return field.wrong(f"Question {self.number}: {error.message}", error.hint)

    # --- placing and answers ----------------------------------------------------------
    def _placed(
        self, question: Question, understood: Understood, values: Mapping[str, str]
    ) -> tuple[Question, Working]:
        """The question turned as the sheet, the file or a pleasant look wants it, and solved."""
        mirror = (values.get(MIRROR) or self.variation.mirrors[0]) == "true"
        if TURN in values:
            wanted = [turn_deg(values[TURN])]
        elif self.variation.turns:
            wanted = [self.variation.turns[0]]
        else:
            pleasant = PLEASANT_TURNS[self.index % len(PLEASANT_TURNS)]
            wanted = list(dict.fromkeys(float(t) for t in (pleasant, 0, *LAST_TURNS)))
        return self._best_turn(question, understood, wanted, mirror)

    def _best_turn(
        self, question: Question, understood: Understood, wanted: list[float], mirror: bool
    ) -> tuple[Question, Working]:
        """The first of the turns with which half a page is enough, else the first that fits a
        page at all. The first turn's error where none does."""
        fitting: tuple[Question, Working] | None = None
        trouble: FitError | PlanError | None = None
        for turn in wanted:
            figure = turned(understood.figure, turn, mirror)
            answers = self._answers(figure, understood.asks)
            try:
                working = self._working(figure, answers)
            except (FitError, PlanError) as error:
                trouble = trouble or error
                continue
            found = replace(question, figure=figure, answers=answers), working
            if len(wanted) == 1 or self._fits_half(*found):
                return found
            fitting = fitting or found
        if fitting is not None:
            return fitting
        raise trouble or self.entry.wrong(f"Question {self.number} has no turn.")

    def _fits_half(self, question: Question, working: Working) -> bool:
        room = half_room_cm(self.setting.page)
        box = whole_box(question, working)
        if box.width <= room[0] and box.height <= room[1]:
            return True
        try:
            plan(question.figure, question.answers, self.setting.instruments, room)
        except (FitError, PlanError):
            return False
        return True

    def _answers(self, figure: Figure, asks: tuple[Ask, ...]) -> tuple[Answer, ...]:
        """The answers in order; one that leaves nothing to draw is refused, and so are two
        regions, whose shading nobody could tell apart."""
        regions = [i for i, ask in enumerate(asks) if isinstance(ask, ShadeRegion)]
        if len(regions) > 1:
            raise self.ask[min(regions[1], len(self.ask) - 1)].wrong(
                f"Question {self.number} asks for two regions in one frame, whose shading cannot "
                "be told apart.",
                "Make them two questions, or one region with 'or'.",
            )
        try:
            answers = tuple(solve(figure, a) for a in asks)
        except (GivensError, NoAnswerError) as error:
            raise self._pointed(error, self.ask[0]) from error
        for i, answer in enumerate(answers):
            if answer.measured is not None and not math.isfinite(answer.measured.value):
                raise self.ask[min(i, len(self.ask) - 1)].wrong(
                    f"Question {self.number}: what is to be measured has no end.",
                    "Ask for a length, a distance or an angle that a ruler or protractor reads.",
                )
            if answer.measured is not None or is_of_points(answer):
                continue
            if answer.special is not None or not answer.elements:
                what = self.ask[min(i, len(self.ask) - 1)]
                said = _COLLAPSED.get(answer.special or "", "nothing is left")
                raise what.wrong(
                    f"Question {self.number}: {said}, so there is nothing to draw.",
                    "Change a length or a condition.",
                )
        return answers

    def _working(self, figure: Figure, answers: tuple[Answer, ...]) -> Working:
        """A working in the room of a whole page: does one exist at all?"""
        try:
            room = whole_room_cm(self.setting.page)
            return plan(figure, answers, self.setting.instruments, room)
        except (FitError, PlanError) as error:
            message = f"Question {self.number}: {error.message}"
            hint = f"{error.hint} {self._pages_that_fit(figure, answers)}".strip()
            raise type(error)(message, hint) from error

    def _pages_that_fit(self, figure: Figure, answers: tuple[Answer, ...]) -> str:
        """Which other pages would hold it, as a hint; "" if none."""
        fitting = []
        for name in PAGE_NAMES:
            try:
                plan(figure, answers, self.setting.instruments, whole_room_cm(page_format(name)))
            except (FitError, PlanError):
                continue
            fitting.append(f"page: {name}")
        return f"It fits with {' or '.join(fitting[:2])}." if fitting else ""

    def _with_marks(self, question: Question, working: Working) -> Question:
        evidence = _evidence(question, working)
        field = self.fields.get("marks")
        marks = None if field is None else field.number(1, MOST_MARKS)
        if "scheme" in self.fields:
            return self._with_own_marks(question, evidence, marks)
        try:
            scheme = default_scheme(
                question.answers,
                question.tolerance,
                evidence,
                readings=question.readings,
                # arcs that are printed already show nothing of the pupil's method
                arcs_required=self.setting.arcs_required and "arcs" not in self.aids,
                marks=marks,
            )
        except PaperError as error:
            if error.line is not None:
                raise
            raise self._pointed(error, field or self.entry) from error
        return replace(question, scheme=scheme, marks=len(scheme))

    def _with_own_marks(
        self, question: Question, evidence: EvidenceBy, marks: int | None
    ) -> Question:
        field = self.fields["scheme"]
        scheme = own_scheme(
            field, question.answers, question.tolerance, evidence, question.readings
        )
        if marks is not None and marks != len(scheme):
            raise self.fields["marks"].wrong(
                f"Question {self.number} has {marks} marks, but its scheme gives {len(scheme)}.",
                "One line of the scheme is one mark.",
            )
        return replace(question, scheme=scheme, marks=len(scheme))

    # --- fields -----------------------------------------------------------------------
    def _check_parts(self) -> None:
        for key in ("given", "ask"):
            if key not in self.fields:
                raise self.entry.wrong(
                    f"Question {self.number} has no {key!r}.",
                    "A question needs 'given' (what is printed) and 'ask' (what is to be drawn).",
                )


def _evidence(question: Question, working: Working) -> EvidenceBy:
    """The arcs that each element's working leaves. An angle that is to be drawn, not constructed,
    may be measured: it leaves none."""
    measured = {
        e.name
        for answer in question.answers
        for e in answer.elements
        if isinstance(e.locus, AngleOn)
    }
    if any("construct" in text.lower() for text in question.ask):
        measured = set()
    return {s.element: () if s.element in measured else s.evidence for s in working.steps}


_COLLAPSED = {
    "empty": "no point does what is asked",
    "everything": "every point does what is asked",
    "point": "only a single point does what is asked",
    "points": "only single points do what is asked",
    "curve": "only the points of a line do what is asked",
}


def read_tolerance(field: Field | None, usual: Tolerance) -> Tolerance:
    """The tolerance of a field, ``usual`` where it says nothing."""
    if field is None:
        return usual
    fields = field.fields(("length", "angle"))
    return Tolerance(
        length_mm=fields["length"].quantity(length_mm) if "length" in fields else usual.length_mm,
        angle_deg=fields["angle"].quantity(angle_deg) if "angle" in fields else usual.angle_deg,
    )


def _scale_sentence(field: Field) -> Field:
    """'1 cm represents 2 km' or '1 : 50 000' as the sentence that is printed and read."""
    words = field.text().rstrip(".")
    ratio = re.fullmatch(r"1\s*:\s*([0-9][0-9 ,]*)", words)
    if ratio:
        words = f"The scale is 1 : {re.sub('[ ,]', '', ratio[1])}"
    return replace(field, value=f"{words}.")


def _sentences(field: Field) -> list[Field]:
    entries = list(field.items())
    if not entries:
        raise field.wrong(f"{field.name} has no sentence.", "Write at least one.")
    for entry in entries:
        entry.text()
    return entries
