"""Mark schemes: which marks a question carries, by what it asks and by profile.

Default allocations follow published ones where there are any (TRADE labels: [V] read in
the source, [V2] in a transcription of it, [M] from memory): perpendicular bisector 2
[V, V2], angle bisector 2 [V2], circle or arc at a distance 2 [V], boundary lines and
region one each [V], locus round a segment or polygon 2 [M]. How much of an arc is
'some' (a sixth) or 'all' (90 %), and of an endless curve enough (half of what the frame
shows), is common practice, no source; 30 mm of a bisector is 'about 3 cm' [V].
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from millimark.errors import PaperError
from millimark.loci.answer import Answer, Element
from millimark.loci.conditions import Equidistant, Incircle, OnBearing, PointOf
from millimark.loci.pointed import is_of_points, points_name
from millimark.paper.question import Criterion, Tolerance
from millimark.paper.readings import Reading
from millimark.plane.curves import Curve
from millimark.working.acts import ArcEvidence

SOME = 1 / 6  # share of an arc that counts as some of it
WHOLE = 0.9  # share that counts as all of it
ENOUGH = 0.5  # share of what the frame shows of an endless locus that counts as drawn
BESIDE_SIDES = 0.6  # of a circle that touches printed lines: what they hide is nobody's loss
LEAST_LINE_MM = 30.0
LEAST_SHORT_LINE_MM = 10.0  # 'two correct points' of a line, any method

EvidenceBy = Mapping[str, Sequence[ArcEvidence]]


@dataclass(frozen=True)
class _Words:
    """The figures that criteria quote."""

    tolerance: Tolerance

    @property
    def near(self) -> str:
        return f"within {self.tolerance.length_mm:g} mm"

    @property
    def near_and_level(self) -> str:
        return f"{self.near} and {self.tolerance.angle_deg:g}°"


def default_scheme(
    answers: Sequence[Answer],
    tolerance: Tolerance,
    evidence: EvidenceBy,
    *,
    arcs_required: bool = True,
    marks: int | None = None,
    readings: Sequence[Reading] = (),
) -> tuple[Criterion, ...]:
    """The marks for the answers of one question, in the order of the asks.

    ``evidence`` holds, by element name, what its construction leaves; ``readings`` what is to
    be written down, a mark each after the others. ``marks`` asks for
    another total than the default; PaperError says which totals work.
    """
    drawn = _options(answers, _Words(tolerance), evidence if arcs_required else {})
    written = tuple(for_reading(reading) for reading in readings)
    options = [_join((scheme, written)) for scheme in drawn]
    if marks is None:
        return options[0]
    by_total = {len(scheme): scheme for scheme in reversed(options)}
    if marks not in by_total:
        totals = " or ".join(str(n) for n in sorted(by_total))
        raise PaperError(
            f"{marks} marks cannot be given for what is asked.",
            f"Totals that work here: {totals} (the default is {len(options[0])}).",
        )
    return by_total[marks]


def _options(
    answers: Sequence[Answer], words: _Words, evidence: EvidenceBy
) -> list[tuple[Criterion, ...]]:
    """The default scheme first, then those with fewer and with more criteria."""
    usual: tuple[Criterion, ...] = ()
    fewer: tuple[Criterion, ...] = ()
    more: tuple[Criterion, ...] = ()
    for answer in answers:
        if answer.measured is not None:
            continue  # readings come last, with the question's own figures
        if is_of_points(answer):
            plain = _for_points(answer, words, {})
            shown = _for_points(answer, words, evidence)
            usual, fewer, more = (
                _join((usual, shown)),
                _join((fewer, plain[-1:])),
                _join((more, shown)),
            )
        elif answer.region is None:
            full = _join(_for_element(e, words, evidence) for e in answer.elements)
            usual, more = _join((usual, full)), _join((more, full))
            fewer = _join((fewer, _join(_whole_only(e, words) for e in answer.elements)))
        else:
            plain = _for_region(answer.elements, words, {})
            usual, fewer = _join((usual, plain)), _join((fewer, plain))
            more = _join((more, _for_region(answer.elements, words, evidence)))
    return [usual, fewer, more]


def _join(schemes: Iterable[Sequence[Criterion]]) -> tuple[Criterion, ...]:
    """Schemes one after another; the indices in ``needs`` move along."""
    joined: list[Criterion] = []
    for scheme in schemes:
        first = len(joined)
        joined += [replace(c, needs=tuple(n + first for n in c.needs)) for c in scheme]
    return tuple(joined)


def _for_element(element: Element, words: _Words, evidence: EvidenceBy) -> tuple[Criterion, ...]:
    shown = list(evidence.get(element.name, ()))
    if shown and element.kind == "line":
        return _constructed_line(element, words, shown)
    if shown:
        arcs = tuple(_arcs("M1", e) for e in shown)
        whole = replace(_whole(element, words), code="A1", needs=tuple(range(len(arcs))))
        return (*arcs, whole)
    straight, curved = parts_of(element)
    if element.kind == "path" and straight and curved:
        return (
            _part(element, "straight", words),
            _part(element, "round", words),
        )
    if element.kind == "line":
        return _line_any_method(element, words)
    return (
        Criterion(
            "B1",
            f"Some of it, a sixth or more, {words.near}: {element.name}",
            "line",
            element.name,
            least_share=SOME,
        ),
        replace(_whole(element, words), needs=(0,)),
    )


def _constructed_line(
    element: Element, words: _Words, shown: Sequence[ArcEvidence]
) -> tuple[Criterion, ...]:
    """Arcs and line: independent for a bisector of two points, M then A for an angle."""
    of_points = isinstance(element.locus, Equidistant) and all(
        isinstance(f, PointOf) for f in element.locus.features
    )
    arcs = tuple(_arcs("B1" if of_points else "M1", e) for e in shown)
    line = _line(element, words, least_mm=LEAST_LINE_MM)
    if of_points:
        return (*arcs, line)
    line = replace(line, code="A1", needs=tuple(range(len(arcs))), angle=True)
    text = line.text.replace(words.near, words.near_and_level)
    return (*arcs, replace(line, text=text))


def _line_any_method(element: Element, words: _Words) -> tuple[Criterion, ...]:
    some = _line(element, words, least_mm=LEAST_SHORT_LINE_MM)
    return some, replace(_line(element, words, least_mm=LEAST_LINE_MM), needs=(0,))


def _line(element: Element, words: _Words, least_mm: float) -> Criterion:
    """So many millimetres of a long line; of one whose needed part is shorter, its share."""
    needed = total_length_mm(element.needed)
    if needed * WHOLE < least_mm:
        share = SOME if least_mm < LEAST_LINE_MM else WHOLE
        part = "A sixth" if share == SOME else "All"
        text = f"{part} of the {element.name} that is asked for, {words.near}"
        return Criterion("B1", text, "line", element.name, least_share=share)
    text = f"At least {least_mm:g} mm of the {element.name}, {words.near}"
    return Criterion("B1", text, "line", element.name, least_mm=least_mm)


def _arcs(code: str, evidence: ArcEvidence) -> Criterion:
    text = f"Construction shown: {evidence.name}"
    return Criterion(code, text, "evidence", evidence.name, arcs=evidence)


def _part(element: Element, part: Literal["straight", "round"], words: _Words) -> Criterion:
    text = f"All of the {part} parts, {words.near}: {element.name}"
    return Criterion("B1", text, "line", element.name, part=part, least_share=WHOLE)


def _whole(element: Element, words: _Words) -> Criterion:
    """All of it; of an endless locus, which no page holds, half of what the frame shows."""
    endless = not all(c.bounded for c in element.needed)
    much, share = ("Half of it or more", ENOUGH) if endless else ("All of it", WHOLE)
    if isinstance(element.locus, Incircle):
        much, share = "All of it that can be seen beside the sides", BESIDE_SIDES
    return Criterion(
        "B1", f"{much}, {words.near}: {element.name}", "line", element.name, least_share=share
    )


def _whole_only(element: Element, words: _Words) -> tuple[Criterion, ...]:
    if element.kind == "line":
        return (_line(element, words, least_mm=LEAST_LINE_MM),)
    return (_whole(element, words),)


def for_reading(reading: Reading, code: str = "B1", needs: tuple[int, ...] = ()) -> Criterion:
    """The mark for a reading; whether what is written counts is for the teacher to say."""
    text = f"{_capital(reading.name)}: {reading.told}"
    return Criterion(code, text, "reading", reading.name, needs=needs)


def _for_points(answer: Answer, words: _Words, evidence: EvidenceBy) -> tuple[Criterion, ...]:
    """Arcs, and lines on bearings, then the points: all of them, or first half where there are
    several and nothing else shows how they were found."""
    name, number = points_name(answer), len(answer.special_points)
    method = [_arcs("M1", e) for e in evidence.get(name, ())]
    for element in answer.elements:
        if isinstance(element.locus, OnBearing):
            line = _line(element, words, least_mm=LEAST_LINE_MM)
            text = line.text.replace(words.near, words.near_and_level)
            method.append(replace(line, code="M1", text=text, angle=True))
    needs = tuple(range(len(method)))
    code = "A1" if method else "B1"
    every = "The" if number == 1 else f"All {number}"
    all_of = Criterion(
        code, f"{every} {name}, marked {words.near}", "points", name,
        needs=needs, least_points=number,
    )  # fmt: skip
    half = (number + 1) // 2
    if method or half == number:
        return (*method, all_of)
    some = Criterion(
        "B1", f"{half} or more of the {number} {name}, marked {words.near}", "points", name,
        least_points=half,
    )  # fmt: skip
    return some, replace(all_of, needs=(0,))


def _for_region(
    elements: Sequence[Element], words: _Words, evidence: EvidenceBy
) -> tuple[Criterion, ...]:
    """A mark for each boundary that is to be drawn, with its arcs if asked, then the region. What
    bounds nothing here earns nothing: nobody need draw it."""
    marks: list[Criterion] = []
    lines: list[int] = []
    for element in (e for e in elements if e.needed):
        shown = evidence.get(element.name, ()) if element.kind == "line" else ()
        marks += [_arcs("M1", e) for e in shown]
        lines.append(len(marks))
        text = f"{_capital(element.name)} where it bounds the region, {words.near}"
        marks.append(Criterion("B1", text, "line", element.name, least_share=WHOLE))
    text = "Correct region shaded (followed through on the pupil's own lines)"
    return (*marks, Criterion("B1", text, "region", "region", needs=tuple(lines)))


def parts_of(element: Element) -> tuple[tuple[Curve, ...], tuple[Curve, ...]]:
    """The straight and the curved pieces that the answer needs of an element."""
    straight = tuple(c for c in element.needed if c.kind in ("segment", "ray", "line"))
    return straight, tuple(c for c in element.needed if c.kind not in ("segment", "ray", "line"))


def total_length_mm(curves: Sequence[Curve]) -> float:
    """Length in mm at true size; infinite where a curve is."""
    return sum(c.length for c in curves) * 10


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
