"""Which construction arcs show the method: equal arcs, arcs on two arms, whole patterns.

Whatever radius the pupil chose. Found: centres right and radii equal within `LIMIT_MM`, with
arcs that really cross. No arcs at all is a finding too, with its reason. Paper mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from millimark.marking.arc_patterns import asked_crossings, find_pattern, stray_arcs
from millimark.marking.arm_arcs import arm_arcs
from millimark.marking.equal_arcs import equal_arcs
from millimark.marking.faint import Picture, faint_past
from millimark.marking.findings import ElementFinding, EvidenceFinding
from millimark.marking.ink import Ink
from millimark.marking.verdict import Verdict
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence

_RANK: dict[Verdict, int] = {"yes": 0, "unsure": 1, "no": 2}


def find_evidence(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
    picture: Picture,
) -> EvidenceFinding:
    """The best reading of the pencil as this evidence. ``barred`` pieces are left out;
    ``mm_per_cm`` paper mm of a centimetre that is asked for. Where a construction has other
    forms, arcs that fit none of those known leave it in doubt. Where the strokes that were traced
    do not show the arcs, the picture is asked for more."""
    found = _find(ink, evidence, points, barred, mm_per_cm, picture)
    if found.verdict != "yes" and ink.pieces:
        found = _looked_again(found, ink, evidence, points, barred, mm_per_cm, picture)
    attempted = bool(found.radii) and (found.shortfall or bool(found.pieces))
    if _is_plain(evidence) or found.verdict != "no" or attempted or not ink.pieces:
        return found
    if not stray_arcs(ink, points, barred | found.pieces):
        return found
    why = f"{found.why}; other arcs were drawn, perhaps for another construction"
    return replace(found, verdict="unsure", why=why)


def _looked_again(
    found: EvidenceFinding,
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
    picture: Picture,
) -> EvidenceFinding:
    """What was found, or better: with arcs about the needle's places that were not traced."""
    looking = replace(picture, closely=True)
    again = _find(ink, evidence, points, barred, mm_per_cm, looking)
    if _RANK[again.verdict] >= _RANK[found.verdict]:
        return found
    return replace(again, pieces=frozenset(k for k in again.pieces if k < len(ink.pieces)))


def _is_plain(evidence: ArcEvidence) -> bool:
    """Whether the arcs have one form only, so that what is not there was not drawn."""
    return evidence.kind in ("equal-arcs", "arm-arcs") or evidence.least > 1


def unless_faint(
    found: EvidenceFinding,
    evidence: ArcEvidence,
    points: dict[str, Point],
    mm_per_cm: float,
    picture: Picture,
) -> EvidenceFinding:
    """Arcs of asked radii that were not seen at all, in doubt where something fainter than a
    stroke runs along one of them."""
    pattern = evidence.pattern
    if pattern is None or found.verdict != "no" or found.radii:
        return found
    for one, two, at in asked_crossings(pattern, points, mm_per_cm):
        for circle, other in ((one, two), (two, one)):
            if faint_past(picture, circle.centre, circle.radius, other.centre, at):
                why = f"{found.why}, but something faint runs where they should be"
                return replace(found, verdict="unsure", why=why)
    return found


def unless_line_is_right(
    found: EvidenceFinding,
    evidence: ArcEvidence,
    elements: Sequence[ElementFinding],
    limit_mm: float,
) -> EvidenceFinding:
    """A chain of arcs of which only the first were seen, in doubt where its line is well inside
    the tolerance: the others may have left the answer frame or been lost in other lines."""
    broken = found.verdict == "no" and found.traces and not found.radii
    theirs = [e for e in elements if found.owner in ("", e.element)]
    right = bool(theirs) and all(
        e.found and e.worst_needed_mm is not None and e.worst_needed_mm < limit_mm / 2
        for e in theirs
    )
    if _is_plain(evidence) or not broken or not right:
        return found
    return replace(
        found, verdict="unsure", why=f"{found.why}; but the line is right: look for the others"
    )


def _find(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
    picture: Picture,
) -> EvidenceFinding:
    centres = [points[name] for name in evidence.centres if name in points]
    if len(centres) < len(evidence.centres):
        return EvidenceFinding(evidence.name, "no", "its centres are not on this page")
    if not ink.pieces:
        return EvidenceFinding(evidence.name, "no", "there are no construction arcs")
    if evidence.kind == "some-of":
        return _some_of(ink, evidence, points, barred, mm_per_cm, picture)
    if evidence.pattern is not None:
        pattern = evidence.pattern
        return find_pattern(ink, evidence, pattern, points, barred, mm_per_cm, picture)
    if evidence.kind == "equal-arcs":
        return equal_arcs(ink, evidence, centres[0], centres[1], barred, picture)
    vertex, *arms = centres
    found = arm_arcs(ink, evidence, vertex, arms, barred, picture)
    if not evidence.opposite or found.verdict == "yes":
        return found
    across = [vertex * 2 - arm for arm in arms]
    other = arm_arcs(ink, evidence, vertex, across, barred, picture)
    return other if found.verdict == "no" or other.verdict == "yes" else found


def _some_of(
    ink: Ink,
    evidence: ArcEvidence,
    points: dict[str, Point],
    barred: frozenset[int],
    mm_per_cm: float,
    picture: Picture,
) -> EvidenceFinding:
    """As many of the parts as are needed. Of equally good ones the first come first."""
    every = [_find(ink, part, points, barred, mm_per_cm, picture) for part in evidence.parts]
    best = sorted(every, key=lambda f: (_RANK[f.verdict], not f.radii, not f.pieces))
    taken = best[: evidence.least]
    last = taken[-1]
    pieces = frozenset(k for f in every for k in f.pieces)
    why = last.why
    if evidence.least > 1:
        number = sum(f.verdict == "yes" for f in every)
        why = f"{number} of the {evidence.least} that are needed: {last.why}"
    return replace(
        last,
        evidence=evidence.name,
        why=why,
        pieces=pieces,
        arcs=tuple(dict.fromkeys(arc for f in taken for arc in f.arcs)),
        traces=any(f.traces for f in every),
    )
