"""Questions and papers as values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from millimark.loci.answer import Answer
from millimark.loci.conditions import Ask
from millimark.loci.figure import Figure
from millimark.paper.access import Access
from millimark.paper.readings import Reading, readings
from millimark.working.acts import ArcEvidence, Working
from millimark.working.instruments import Instruments


@dataclass(frozen=True)
class Tolerance:
    """How far off still counts: lengths in mm of real paper, angles in degrees."""

    length_mm: float = 2.0
    angle_deg: float = 2.0


@dataclass(frozen=True)
class Criterion:
    """One mark. ``code`` "M1", "A1", "B1"; ``text`` what the scheme prints.

    ``kind`` says what is judged and ``subject`` which element or evidence by name:
    ``line``: the element (or its straight or round ``part``) within tolerance, at least
    ``least_mm`` of it (or ``least_share`` of what is needed); ``evidence``: construction
    arcs; ``region``: shading on the right side of the pupil's own boundary. ``needs``
    lists indices (from 0) of marks of the same question without which this one is
    withheld (for a region: one of them suffices); ``angle`` adds the angle tolerance.
    ``arcs`` is the evidence itself where ``kind`` is ``evidence``. ``points``: at least
    ``least_points`` of the points asked for, marked within tolerance; ``reading``: what is
    written on the answer line of that name.
    """

    code: str
    text: str
    kind: Literal["line", "evidence", "region", "points", "reading"]
    subject: str
    part: Literal["all", "straight", "round"] = "all"
    least_mm: float | None = None
    least_share: float | None = None
    angle: bool = False
    needs: tuple[int, ...] = ()
    arcs: ArcEvidence | None = None
    least_points: int = 0


@dataclass(frozen=True)
class Question:
    """One question, understood and solved. ``number`` is what is printed ("1").

    ``given`` and ``ask`` are the sentences as the teacher wrote them; ``notes`` say how a
    phrase with more than one reading was read. ``answers`` belong to ``asks`` in order.
    ``scale`` is real cm per cm of paper, None at true size; ``north``: the page's top is north.
    ``working`` is how it is drawn where it has a page to itself; ``aids`` what the frame
    holds for support: "grid", "arcs"; "stretch": fewer hints are printed.
    """

    number: str
    story: str | None
    given: tuple[str, ...]
    ask: tuple[str, ...]
    figure: Figure
    asks: tuple[Ask, ...]
    marks: int
    tolerance: Tolerance
    scheme: tuple[Criterion, ...]
    answers: tuple[Answer, ...] = ()
    notes: tuple[str, ...] = ()
    scale: float | None = None
    north: bool = False
    working: Working | None = None
    aids: tuple[str, ...] = ()

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What is to be measured and written down, in the order of the asks."""
        return readings_of(self, self.answers)

    @property
    def angle_limits(self) -> dict[str, float]:
        """By element, the degrees that its line may be turned, where a mark depends on it."""
        return {c.subject: self.tolerance.angle_deg for c in self.scheme if c.angle}


def readings_of(question: Question, answers: Sequence[Answer]) -> tuple[Reading, ...]:
    """The readings of a question with these answers: its own, or those of the paper as printed."""
    return readings(
        question.asks,
        answers,
        tuple(question.figure.points),
        question.scale,
        (question.tolerance.length_mm, question.tolerance.angle_deg),
    )


@dataclass(frozen=True)
class Paper:
    """A paper, understood. ``page`` is "A4", "A3" or "Letter"; ``arcs_required`` the profile.

    ``data`` is the content of the paper file as plain data; ``paper_from_data(data)``
    gives an equal paper. ``access``: size of print, ground and hand.
    """

    title: str
    page: str
    instruments: Instruments
    arcs_required: bool
    questions: tuple[Question, ...]
    data: Mapping[str, Any] = field(default_factory=dict)
    access: Access = field(default_factory=Access)
    profile: str = "arcs required"
