"""Where a working puts the needle for the arcs that show its method."""

from __future__ import annotations

from collections.abc import Iterator

from millimark.working.acts import ArcEvidence, ElementWorking, StrikeArc


def last_needle(step: ElementWorking) -> str | None:
    """The mark about which the last of the arcs is struck whose radius must match another's or
    is asked for; None where no arcs are judged so."""
    for evidence in _simple(step):
        if evidence.kind == "equal-arcs":
            return evidence.centres[1]
        marks = _needles(step, evidence)
        if marks and len(marks) > 1:
            return marks[-1]
    return None


def crossing_pair(step: ElementWorking) -> tuple[str, str] | None:
    """Two marks about which arcs of one free radius cross; None where no such arcs are."""
    for evidence in _simple(step):
        if evidence.kind == "equal-arcs":
            return (evidence.centres[0], evidence.centres[1])
        pattern, marks = evidence.pattern, _needles(step, evidence)
        if pattern is None or not marks or len(marks) < 3:
            continue
        one, two = pattern.needles[-2:]
        last = pattern.meetings[-1]
        free = one.radius == two.radius and one.opening is None
        if free and (last.first, last.second) == (one.at, two.at) and len(set(marks)) == len(marks):
            return (marks[-2], marks[-1])
    return None


def _simple(step: ElementWorking) -> Iterator[ArcEvidence]:
    """The evidence of a step; of what needs only one of several, each of these."""
    for evidence in step.evidence:
        if evidence.kind != "some-of":
            yield evidence
        elif evidence.least == 1 and not evidence.of_choice:
            yield from (part for part in evidence.parts if part.kind != "some-of")


def _needles(step: ElementWorking, evidence: ArcEvidence) -> list[str] | None:
    """The working's mark for each needle of a pattern, in order; None where the working does
    not follow the pattern."""
    if evidence.pattern is None:
        return None
    struck = [a.centre for a in step.acts if isinstance(a, StrikeArc) and a.role == "construction"]
    found: dict[str, str] = {}
    made = {name for name, _ in evidence.pattern.places}
    marks = []
    for needle in evidence.pattern.needles:
        if needle.at not in made:
            found[needle.at] = needle.at
        known = found.get(needle.at)
        fresh = [c for c in struck if c.startswith("mark ") and c not in found.values()]
        at = known if known is not None else next(iter(fresh), None)
        if at is None or at not in struck:
            return None
        found[needle.at] = at
        marks.append(at)
    return marks
