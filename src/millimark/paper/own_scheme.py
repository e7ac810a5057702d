"""A teacher's own criteria in words, understood like the questions.

    scheme:
      - M1 arcs for the perpendicular bisector of AB
      - A1 at least 40 mm of the perpendicular bisector of AB, needs 1
      - B1 all of the circle, centre A, radius 4 cm
      - B1 region, needs 2 or 3

A criterion is a code (M, A or B and how many marks: one to a line), what is judged, and
the numbers of the criteria that it needs. The words of an element are those that
``millimark check`` prints; a leading 'the' is skipped.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from millimark.loci.answer import Answer, Element
from millimark.loci.pointed import is_of_points, points_name
from millimark.paper.fields import Field
from millimark.paper.question import Criterion, Tolerance
from millimark.paper.readings import Reading
from millimark.paper.scheme import SOME, WHOLE, EvidenceBy, for_reading, parts_of
from millimark.working.acts import ArcEvidence

_LINE = re.compile(
    r"(?P<code>[MAB]1)\s*:?\s+(?P<what>.+?)"
    r"(?:,?\s+(?:needs|dep(?:ends)?\s+on)\s+(?P<needs>[0-9]+(?:\s*(?:,|and|or)\s*[0-9]+)*))?\.?"
)
_SHARES = {
    "all of": ("all", WHOLE),
    "some of": ("all", SOME),
    "the straight parts of": ("straight", WHOLE),
    "straight parts of": ("straight", WHOLE),
    "the round parts of": ("round", WHOLE),
    "round parts of": ("round", WHOLE),
}
_AT_LEAST = re.compile(r"at least ([0-9]+(?:\.[0-9]+)?) mm of (.+)")
_POINTS = re.compile(r"(?:(?:at least )?([0-9]+) of |all )?(?:of )?(?:the )?points?", re.IGNORECASE)
_ARCS = re.compile(r"(?:the |construction )*arcs (?:for|of) (.+)")
_SAID = "Write, for example: 'B1 all of the circle, centre A, radius 4 cm, needs 1'."


@dataclass(frozen=True)
class _Known:
    """What criteria of a question can speak of; ``used`` are the arcs that earlier ones judge."""

    elements: tuple[Element, ...]
    evidence: EvidenceBy
    region: bool
    tolerance: Tolerance
    points: tuple[Answer, ...] = ()
    readings: tuple[Reading, ...] = ()
    used: frozenset[str] = frozenset()


def own_scheme(
    field: Field,
    answers: Sequence[Answer],
    tolerance: Tolerance,
    evidence: EvidenceBy,
    readings: Sequence[Reading] = (),
) -> tuple[Criterion, ...]:
    """The criteria of a 'scheme' field. PaperError points at the one that is not understood."""
    known = _Known(
        tuple(e for a in answers for e in a.elements),
        evidence,
        any(a.region is not None for a in answers),
        tolerance,
        tuple(a for a in answers if is_of_points(a)),
        tuple(readings),
    )
    criteria: list[Criterion] = []
    for i, entry in enumerate(field.items()):
        used = frozenset(c.subject for c in criteria if c.kind == "evidence")
        criteria.append(_criterion(entry, i, replace(known, used=used)))
    return tuple(criteria)


def _criterion(field: Field, index: int, known: _Known) -> Criterion:
    text = field.text()
    found = _LINE.fullmatch(text)
    if found is None:
        raise field.wrong(f"{text!r} is not a criterion: it starts with M1, A1 or B1.", _SAID)
    needs = tuple(int(n) - 1 for n in re.findall(r"[0-9]+", found["needs"] or ""))
    if any(not 0 <= n < index for n in needs):
        raise field.wrong(
            f"{text!r} needs a criterion that does not stand above it.",
            "Criteria are counted from 1 in the order of the list.",
        )
    if found["code"] == "A1" and not needs:
        raise field.wrong(
            f"{text!r} is an A mark that needs no method mark.",
            "Write ', needs 1' for the M mark it depends on, or make it B1.",
        )
    return _judged(field, found["code"], found["what"].strip(" ,"), needs, known)


def _judged(field: Field, code: str, what: str, needs: tuple[int, ...], known: _Known) -> Criterion:
    near = f"within {known.tolerance.length_mm:g} mm"
    if what.lower() in ("region", "the region", "the shading", "shading"):
        if not known.region:
            raise field.wrong("No region is asked for in this question.", "Leave this one out.")
        text = "Correct region shaded (followed through on the pupil's own lines)"
        return Criterion(code, text, "region", "region", needs=needs)
    reading = _reading(what, known)
    if reading is not None:
        return for_reading(reading, code, needs)
    if points := _POINTS.fullmatch(what):
        return _points(field, code, points[1], needs, known)
    if arcs := _ARCS.fullmatch(what):
        shown = _evidence_of(field, arcs[1], known)
        text = f"Construction shown: {shown.name}"
        return Criterion(code, text, "evidence", shown.name, needs=needs, arcs=shown)
    if least := _AT_LEAST.fullmatch(what):
        element = _element(field, least[2], known)
        text = f"At least {least[1]} mm of the {element.name}, {near}"
        return Criterion(
            code, text, "line", element.name, least_mm=float(least[1]), needs=needs,
            angle=code == "A1",
        )  # fmt: skip
    return _share(field, code, what, needs, known)


def _share(field: Field, code: str, what: str, needs: tuple[int, ...], known: _Known) -> Criterion:
    near = f"within {known.tolerance.length_mm:g} mm"
    for words, (part, share) in _SHARES.items():
        if not what.lower().startswith(words + " "):
            continue
        element = _element(field, what[len(words) :], known)
        straight, curved = parts_of(element)
        if (part == "straight" and not straight) or (part == "round" and not curved):
            raise field.wrong(f"The {element.name} has no {part} parts.", "Write 'all of'.")
        text = f"{words[:1].upper()}{words[1:]} it, {near}: {element.name}"
        return Criterion(
            code, text, "line", element.name, part=part, least_share=share, needs=needs  # type: ignore[arg-type]
        )  # fmt: skip
    element = _element(field, what, known)
    return Criterion(
        code, f"All of it, {near}: {element.name}", "line", element.name,
        least_share=WHOLE, needs=needs,
    )  # fmt: skip


def _element(field: Field, words: str, known: _Known) -> Element:
    wanted = words.strip().removeprefix("the ").strip().lower()
    for element in known.elements:
        if element.name.lower() == wanted:
            return element
    names = [e.name for e in known.elements]
    near = difflib.get_close_matches(wanted, [n.lower() for n in names], n=1, cutoff=0.6)
    offer = f"Did you mean {near[0]!r}?" if near else f"It may name: {'; '.join(names)}."
    raise field.wrong(f"{words.strip()!r} is nothing that this question draws.", offer)


def _reading(what: str, known: _Known) -> Reading | None:
    """The reading that a criterion names: in its own words, or "the reading" for the only one."""
    said = what.strip().lower().removeprefix("the ")
    if said in ("reading", "measurement") and len(known.readings) == 1:
        return known.readings[0]
    return next((r for r in known.readings if r.name.lower().removeprefix("the ") == said), None)


def _points(
    field: Field, code: str, number: str | None, needs: tuple[int, ...], known: _Known
) -> Criterion:
    """So many of the points asked for; all of them where no number is said."""
    if not known.points:
        raise field.wrong("No points are asked for in this question.", "Leave this one out.")
    answer = known.points[0]
    every = len(answer.special_points)
    least = every if number is None else int(number)
    if not 1 <= least <= every:
        raise field.wrong(f"{least} of the points cannot be marked: there are {every}.")
    name = points_name(answer)
    text = f"{least} of the {every} {name}, marked within {known.tolerance.length_mm:g} mm"
    return Criterion(code, text, "points", name, needs=needs, least_points=least)


def _evidence_of(field: Field, words: str, known: _Known) -> ArcEvidence:
    """The arcs of the first construction that no earlier criterion judges."""
    if words.strip().lower() in ("the points", "points", "the point", "point"):
        names = [points_name(a) for a in known.points]
    else:
        names = [_element(field, words, known).name]
    shown = tuple(e for name in names for e in known.evidence.get(name, ()))
    if not shown:
        raise field.wrong(
            f"No arcs show how the {(names or [words])[0]} was drawn.",
            "Judge the line itself instead.",
        )
    return next((e for e in shown if e.name not in known.used), shown[0])
