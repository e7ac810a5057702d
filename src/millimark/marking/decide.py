"""Awarded, withheld or for the teacher: each criterion of the scheme, with its reason.

A mark is decided only where every reading of its rule, with its uncertainty, agrees;
otherwise the teacher decides. A mark that needs another one follows it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.marking.findings import (
    Decision,
    ElementFinding,
    EvidenceFinding,
    Mark,
    PartFinding,
    PointFinding,
    ReadingFinding,
    RegionFinding,
)
from millimark.marking.shading import region_verdict
from millimark.marking.verdict import Verdict, agreed, at_least, at_most, both
from millimark.paper.question import Criterion, Question, Tolerance
from millimark.paper.scheme import BESIDE_SIDES

_LENGTH_SIGMA_MM = 0.6
"""Uncertainty of a length of pencil: both its ends fade out, mm."""
_HIDDEN_SHARE = 0.25
"""Of a circle that touches printed lines, what they may hide at most: common practice."""
_DECISION: dict[Verdict, Decision] = {"yes": "awarded", "no": "withheld", "unsure": "teacher"}

Judged = tuple[Verdict, str]


@dataclass(frozen=True)
class Doubt:
    """What the page leaves in doubt: ``two_tone`` a black and white scan, on which pale
    pencil is lost; ``scale_assumed`` a photograph whose print scale nobody knows; ``unfollowed``
    an answer much of whose pencil was not traced; ``pale`` one drawn so lightly that arcs, which
    are drawn more lightly still, may not be seen."""

    two_tone: bool = False
    scale_assumed: bool = False
    unfollowed: bool = False
    pale: bool = False


def decide(
    question: Question,
    elements: Sequence[ElementFinding],
    evidence: Sequence[EvidenceFinding],
    region: RegionFinding,
    blank: bool,
    doubt: Doubt,
    points: Sequence[PointFinding] = (),
    readings: Sequence[ReadingFinding] = (),
) -> tuple[Mark, ...]:
    """The marks of one question in the scheme's order."""
    by_element = {e.element: e for e in elements}
    by_evidence = {e.evidence: e for e in evidence}

    def judge(criterion: Criterion) -> Judged:
        if criterion.kind == "evidence":
            arcs = by_evidence.get(criterion.subject)
            seen = arcs is not None and bool(arcs.pieces)
            verdict, why = _perhaps_lost(_evidence(arcs), seen, doubt)
            if verdict == "no" and not seen and doubt.pale:
                return "unsure", f"{why}, but the pencil is very pale: look for arcs on the paper"
            return verdict, why
        if criterion.kind == "reading":
            return _reading(criterion, readings)
        if criterion.kind == "points":
            mine = [p for p in points if p.points == criterion.subject]
            judged = _points(criterion, mine, question.tolerance)
            return _perhaps_lost(judged, all(p.found for p in mine), doubt)
        if criterion.kind == "region":
            return _perhaps_lost(region_verdict(region), region.shaded, doubt)
        line = by_element.get(criterion.subject)
        judged = _line(criterion, line, question.tolerance)
        strays = line is not None and (line.worst_needed_mm or 0.0) > question.tolerance.length_mm
        return _with_scale(_perhaps_lost(judged, strays, doubt), line, doubt)

    marks: list[Mark] = []
    for criterion in question.scheme:
        verdict, why = _perhaps_lost(_NOTHING, False, doubt) if blank else judge(criterion)
        mark = Mark(criterion.code, criterion.text, _DECISION[verdict], _sentence(why))
        marks.append(_with_needs(mark, criterion, marks, region))
    return tuple(marks)


_NOTHING: Judged = ("no", "nothing was drawn")


def _perhaps_lost(judged: Judged, seen: bool, doubt: Doubt) -> Judged:
    """What was not seen on a black and white scan may have been too pale for it; what was not seen
    in a drawing that could not be followed may be there."""
    verdict, why = judged
    if seen or verdict != "no" or not (doubt.two_tone or doubt.unfollowed):
        return judged
    if doubt.unfollowed:
        return "unsure", f"{why}, but much of the pencil could not be followed: look at the paper"
    return "unsure", (
        f"{why}, but this is a black and white scan, on which pale pencil is lost: "
        "look at the paper, or scan it again in grey"
    )


def _with_scale(judged: Judged, line: ElementFinding | None, doubt: Doubt) -> Judged:
    """A mark that only the unknown print scale leaves open says how to settle it."""
    verdict, why = judged
    if verdict != "unsure" or not doubt.scale_assumed or line is None or line.scale_part_mm < 0.1:
        return judged
    return verdict, (
        f"{why}; the print scale of this photograph is not known: measure the 100 mm check rule "
        "on the paper and give it as --print-scale"
    )


def unmarked(question: Question, reason: str) -> tuple[Mark, ...]:
    """Every mark of a question handed to the teacher for one reason."""
    return tuple(Mark(c.code, c.text, "teacher", _sentence(reason)) for c in question.scheme)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else text + "."


def _with_needs(
    mark: Mark, criterion: Criterion, before: Sequence[Mark], region: RegionFinding
) -> Mark:
    """The mark as its needs leave it."""
    needs = [before[k] for k in criterion.needs]
    follows = criterion.kind == "region" and region.follow_through
    if not needs or mark.decision == "withheld":
        return mark
    decisions = [n.decision for n in needs]
    one_suffices = criterion.kind == "region"
    met = any if one_suffices else all
    if met(d == "awarded" for d in decisions):
        return Mark(mark.code, mark.criterion, mark.decision, mark.reason, follows)
    names = _listed(needs, "or" if one_suffices else "and")
    if not met(d in ("awarded", "teacher") for d in decisions):
        which = "one of" if one_suffices and len(needs) > 1 else ""
        why = f"This mark needs {which} {names} first, and it was withheld.".replace("  ", " ")
        return Mark(mark.code, mark.criterion, "withheld", why)
    why = f"{mark.reason} This mark needs {names}, which the teacher decides."
    return Mark(mark.code, mark.criterion, "teacher", why, follows)


def _listed(marks: Sequence[Mark], joiner: str) -> str:
    names = [f"{m.code} ({m.criterion[:1].lower()}{m.criterion[1:]})" for m in marks]
    if len(names) < 3:
        return f" {joiner} ".join(names)
    return f"{', '.join(names[:-1])} {joiner} {names[-1]}"


# --- evidence --------------------------------------------------------------------------
def _evidence(found: EvidenceFinding | None) -> Judged:
    if found is None:
        return "unsure", "these construction arcs could not be looked for"
    return found.verdict, found.why


# --- readings ---------------------------------------------------------------------------
def _reading(criterion: Criterion, readings: Sequence[ReadingFinding]) -> Judged:
    """Handwriting is not read: the teacher compares it with the value that is told."""
    line = next((r for r in readings if r.reading == criterion.subject), None)
    if line is None:
        return "unsure", "the answer line could not be looked at: read it on the paper"
    right = f"{line.told} is right on this paper, {line.band} counts"
    if not line.written:
        return "unsure", f"nothing was found on the answer line; {right}: look beside it"
    return "unsure", f"compare what is written on the answer line: {right}"


# --- points ----------------------------------------------------------------------------
def _points(criterion: Criterion, found: Sequence[PointFinding], tolerance: Tolerance) -> Judged:
    """Whether enough of the points are marked within tolerance, and of those that are not the
    nearest, or the farthest of those that are."""
    limit = tolerance.length_mm
    each = [_point(p, limit) for p in found]
    sure = sum(v == "yes" for v in each)
    perhaps = sure + sum(v == "unsure" for v in each)
    there = sure + sum(p.pencil_there for v, p in zip(each, found, strict=True) if v != "yes")
    verdict: Verdict = "unsure"
    if sure >= criterion.least_points:
        verdict = "yes"
    elif max(perhaps, there) < criterion.least_points:
        verdict = "no"
    elif perhaps < criterion.least_points:
        return verdict, "no mark was recognised there, but pencil passes or ends at the right place"
    if len(found) == 1:
        off = found[0].off_mm
        if off is None:
            return verdict, "no mark was found near the point"
        return verdict, f"your point is {off:.1f} mm from its place; the limit is {limit:g} mm"
    return verdict, (
        f"{sure} of {len(found)} points are marked within {limit:g} mm; "
        f"{criterion.least_points} are needed"
    )


def _point(found: PointFinding, limit: float) -> Verdict:
    if found.off_mm is None or found.uncertainty_mm is None:
        return "no"
    return at_most(found.off_mm, limit, found.uncertainty_mm)


# --- lines -----------------------------------------------------------------------------
def _line(criterion: Criterion, found: ElementFinding | None, tolerance: Tolerance) -> Judged:
    if found is None:
        return "unsure", f"{criterion.subject} could not be looked for"
    if not found.found or found.worst_mm is None or found.uncertainty_mm is None:
        why = f"no line for the {criterion.subject} was found"
        return (
            ("unsure", f"{why}, but pencil lies where it should be") if found.lost else ("no", why)
        )
    parts: list[Judged] = []
    if criterion.least_share is not None:
        parts.append(_share(criterion, found, criterion.least_share, tolerance.length_mm))
    if criterion.least_mm is not None:
        parts.append(_length(found, criterion.least_mm, tolerance.length_mm))
    if criterion.least_mm is not None or criterion.least_share is None:
        parts.append(_closeness(found, tolerance.length_mm))
    if criterion.angle and found.angle_deg is not None:
        parts.append(_angle(found, tolerance.angle_deg))
    verdict = both(*(v for v, _ in parts))
    why = next(why for v, why in parts if v == verdict)
    if verdict == "yes":
        why = _good(criterion, found, parts, tolerance)
    return _unless_hatching(found, *_unless_two(found, verdict, why, tolerance.length_mm))


def _unless_hatching(found: ElementFinding, verdict: Verdict, why: str) -> Judged:
    """What may be the outermost stroke of the shading earns no mark by itself, and what may have
    been taken for a stroke of it loses none."""
    if verdict == "no" and found.entangled:
        return (
            "unsure",
            f"{why}; but beside the shading the line may not have been followed rightly",
        )
    if verdict == "no" or not found.hatch_edge:
        return verdict, why
    return "unsure", f"the {found.element} may be only the outermost stroke of the shading"


def _unless_two(found: ElementFinding, verdict: Verdict, why: str, limit: float) -> Judged:
    """Two lines of equal standing: the teacher says which one is the answer."""
    if found.rival_mm is None:
        return verdict, why
    other: Verdict = "yes" if found.rival_mm <= limit else "no"
    if verdict == other:
        return verdict, why
    return "unsure", (
        f"two lines could be the {found.element}: one strays {found.worst_mm or 0.0:.1f} mm from "
        f"the right place, the other {found.rival_mm:.1f} mm"
    )


def _good(
    criterion: Criterion, found: ElementFinding, parts: Sequence[Judged], tolerance: Tolerance
) -> str:
    part = found.parts.get(criterion.part)
    worst = part.worst_mm if part is not None and part.worst_mm else found.worst_mm or 0.0
    if worst <= tolerance.length_mm:
        near = f"your line stays within {worst:.1f} mm of the right place"
        return f"{near}; the limit is {tolerance.length_mm:g} mm"
    return parts[0][1]


def _share(criterion: Criterion, found: ElementFinding, least: float, limit: float) -> Judged:
    part = found.parts.get(criterion.part, PartFinding(0.0, 0.0, 0.0, 0.0, 0.0))
    verdict: Verdict = "unsure"
    if part.low >= least:
        verdict = "yes"
    elif part.high < least:
        verdict = "no"
    beside = criterion.least_share == BESIDE_SIDES  # print may hide up to a quarter of the circle
    if beside and verdict == "no" and part.high >= least - _HIDDEN_SHARE:
        verdict = "unsure"
    what = {"all": "what is needed", "straight": "the straight part", "round": "the round part"}
    share = f"{100 * part.coverage:.0f} % of {what[criterion.part]}"
    why = f"{share} is drawn within {limit:g} mm; {100 * least:.0f} % is needed"
    if verdict == "unsure" and part.coverage >= least > part.low:
        why = f"{why}, but only {100 * max(0.0, part.low):.0f} % is certain"
    worst = part.worst_mm
    if verdict != "yes" and worst > limit:
        why = f"{why}, and your line strays up to {worst:.1f} mm{_where(found)}"
    return verdict, why


def _length(found: ElementFinding, least: float, limit: float) -> Judged:
    part = found.parts["all"]
    within = part.within_mm
    verdict = at_least(within, least, _LENGTH_SIGMA_MM)
    why = (
        f"{within:.0f} mm of your line lies within {limit:g} mm of the right place; "
        f"{least:g} mm is needed"
    )
    if verdict == "no" and at_least(part.within_high_mm, least, _LENGTH_SIGMA_MM) != "no":
        return "unsure", f"{why}; but pencil that was not followed goes on along it"
    return verdict, why


def _closeness(found: ElementFinding, limit: float) -> Judged:
    sigma = max(found.uncertainty_mm or 0.0, found.worst_sigma_mm)
    if (found.worst_mm or 0.0) <= limit:  # without the pencil in doubt it would only be nearer
        sigma = math.sqrt(max(sigma**2 - found.excess_mm**2, 0.0))
    whole, beside = found.worst_mm or 0.0, found.worst_needed_mm
    verdicts = [at_most(whole, limit, sigma)]
    if beside is not None and beside > 0.0:
        verdicts.append(at_most(beside, limit, sigma))
    return agreed(*verdicts), (
        f"your line strays {whole:.1f} mm{_where(found)}; the limit is {limit:g} mm"
    )


def _where(found: ElementFinding) -> str:
    """At which end of the drawn line the worst deviation lies, as seen on the page."""
    if found.worst_at is None or not found.profile:
        return ""
    xs = [float(v) for d in found.profile for v in d.xy[:, 0]]
    ys = [float(v) for d in found.profile for v in d.xy[:, 1]]
    width, height = max(xs) - min(xs), max(ys) - min(ys)
    if height >= width:
        share = (found.worst_at.y - min(ys)) / max(height, 1e-9)
        names = ("upper", "lower")
    else:
        share = (found.worst_at.x - min(xs)) / max(width, 1e-9)
        names = ("left", "right")
    if 0.25 < share < 0.75:
        return " near its middle" if found.kind == "line" else ""
    side = names[0] if share <= 0.25 else names[1]
    return f" at its {side} end" if found.kind == "line" else f" on its {side} side"


def _angle(found: ElementFinding, limit: float) -> Judged:
    angle, sigma = found.angle_deg or 0.0, found.angle_sigma_deg or 0.1
    return at_most(angle, limit, sigma), (
        f"your line is turned by {angle:.1f}° from the right direction; the limit is {limit:g}°"
    )
