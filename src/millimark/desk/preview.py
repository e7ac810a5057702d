"""What is shown beside the sentences: the question as it will stand on its page, or what is
wrong with it, at the word."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from markupsafe import Markup

from millimark.desk.paper_text import Data, question_at
from millimark.drawing.svg import SvgCanvas
from millimark.errors import MillimarkError, WordsError
from millimark.paper.fields import Field
from millimark.paper.figure_drawing import draw_frame, draw_given, draw_working
from millimark.paper.question import Criterion, Paper, Question
from millimark.paper.question_pages import Drawn, plan_paper
from millimark.paper.question_reading import QuestionSource
from millimark.paper.reading import PaperSource
from millimark.words.reading import understand
from millimark.working.budget import Fairness, fairness


@dataclass(frozen=True)
class Preview:
    """A question that works: its picture (model answer drawn in), how it was read, its marks,
    where it stands and how fair it is."""

    picture: Markup
    said: tuple[str, ...]
    read_as: tuple[str, ...]
    notes: tuple[str, ...]
    marks: tuple[Criterion, ...]
    frame_mm: tuple[int, int]
    page: str
    fairness: Fairness

    @property
    def in_hundred(self) -> int:
        """Careful hands in a hundred that land inside the tolerance."""
        return round(100 * self.fairness.chance)


@dataclass(frozen=True)
class Fault:
    """What is wrong. ``before``, ``word``, ``after``: the sentence parted at the word; "" if no
    sentence is to blame. ``instead``: what was probably meant by the word; ``fix``: a whole
    sentence that works in its place, with other letters; None where there is none to offer."""

    message: str
    hint: str
    before: str = ""
    word: str = ""
    after: str = ""
    expected: tuple[str, ...] = ()
    fix: str | None = None
    instead: str | None = None

    @property
    def sentence(self) -> str:
        """The whole sentence."""
        return self.before + self.word + self.after

    @property
    def mended(self) -> str:
        """The sentence with what was probably meant."""
        return self.before + (self.instead or self.word) + self.after


def preview(data: Data, place: int) -> Preview | Fault:
    """What the question at ``place`` (from 1) comes to."""
    try:
        return _shown(_alone(data, place))
    except MillimarkError as error:
        return fault_of(error)


def fault_of(error: MillimarkError) -> Fault:
    """An error as the form shows it."""
    words = error if isinstance(error, WordsError) else error.__cause__
    if not isinstance(words, WordsError):
        return Fault(error.message, error.hint)
    start = words.column - 1
    end = start + max(1, words.length)
    could = [word.strip("'") for word in words.expected]
    near = get_close_matches(words.sentence[start:end], could, 1, cutoff=0.6)
    return Fault(
        error.message.partition(", at column ")[0],
        (words.hint or error.hint).partition(" A sentence that works: ")[0],
        words.sentence[:start],
        words.sentence[start:end],
        words.sentence[end:],
        words.expected[:8],
        words.nearest if words.nearest != words.sentence else None,
        near[0] if near else None,
    )


def _alone(data: Data, place: int) -> Paper:
    """A paper of this one question, numbered and turned as in the whole one."""
    entry = question_at(data, place)
    source = PaperSource(Field({**data, "questions": [entry]}, "the paper"))
    field = Field(entry, f"question {place}")
    question = QuestionSource(field, place, source.setting).first()
    return Paper(
        source.title,
        source.page,
        source.setting.instruments,
        source.setting.arcs_required,
        (question,),
        source.data,
        source.access,
        source.profile,
    )


def _shown(paper: Paper) -> Preview:
    (drawn,) = plan_paper(paper, "").drawn
    question = paper.questions[0]
    understood = understand(question.given, question.ask)
    working = drawn.placed.working
    odds = fairness(
        question.figure,
        question.answers,
        working,
        question.tolerance.length_mm,
        angles=question.angle_limits,
    )
    x0, y0, x1, y1 = drawn.placed.frame_mm
    return Preview(
        picture(drawn),
        (*question.given, *question.ask),
        (*understood.canonical_given, *understood.canonical_ask),
        tuple(dict.fromkeys((*understood.notes, *working.notes))),
        question.scheme,
        (round(x1 - x0), round(y1 - y0)),
        paper.page,
        odds,
    )


def picture(drawn: Drawn) -> Markup:
    """The answer frame with figure, construction and answer, as SVG."""
    canvas = SvgCanvas(drawn.picture_box)
    draw_frame(canvas, drawn.placed.frame_mm)
    draw_working(canvas, drawn.ink)
    draw_given(canvas, drawn.ink, drawn.labels, drawn.marks, drawn.access)
    words = label(drawn.question)
    svg = canvas.svg().replace("<svg ", Markup('<svg role="img" aria-label="{}" ').format(words), 1)
    return Markup(svg)  # written by the canvas, which escapes what it letters


def label(question: Question) -> str:
    """The picture in words."""
    elements = [e.name for answer in question.answers for e in answer.elements]
    return f"Model answer: {', '.join(elements)}" if elements else "Model answer"
