"""Which construction arcs show the method: equal arcs, arcs on two arms, whole patterns.

Whatever radius the pupil chose. Found: centres right and radii equal within `LIMIT_MM`, with
arcs that really cross. No arcs at all is a finding too, with its reason. Paper mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from millimark.marking.arc_or_side import own_corner
from millimark.marking.arc_patterns import (
    asked_crossings,
    find_pattern,
    loose_crossing,
    run_out,
    stray_arcs,
)
from millimark.marking.arm_arcs import arm_arcs
from millimark.marking.equal_arcs import equal_arcs
from millimark.marking.faint import LOOKS, faint_past, goes_on_past
from millimark.marking.findings import ElementFinding, EvidenceFinding, SeenArc
from millimark.marking.scene import Scene
from millimark.marking.verdict import RANK
from millimark.working.acts import ArcEvidence

_SAME_RADIUS_MM = 0.5
"""Radii of the same arcs, of which more was seen, differ by less."""


def find_evidence(scene: Scene, evidence: ArcEvidence) -> EvidenceFinding:
    """The best reading of the pencil as this evidence. Where a construction has other forms, arcs
    that fit none of those known leave it in doubt. Where the strokes that were traced do not show
    the arcs, the picture is asked for more."""
    ink, barred = scene.ink, scene.barred
    found = _find(scene, evidence)
    for look in LOOKS[1:]:
        if found.verdict != "yes" and ink.pieces:
            again = _find(_looked_at(scene, look), evidence)
            again = replace(again, pieces=frozenset(k for k in again.pieces if k < len(ink.pieces)))
            found = _better(found, again)
    if found.verdict == "no" and run_out(ink, scene.picture.frame, barred | found.pieces):
        why = f"{found.why}; but strokes run out of the answer frame beside each other"
        return replace(found, verdict="unsure", why=why)
    attempted = bool(found.radii) and (found.shortfall or bool(found.pieces))
    if _is_plain(evidence) or found.verdict != "no" or attempted or not ink.pieces:
        return found
    if not stray_arcs(ink, scene.points, barred | found.pieces):
        return found
    why = f"{found.why}; other arcs were drawn, perhaps for another construction"
    return replace(found, verdict="unsure", why=why)


def _better(one: EvidenceFinding, other: EvidenceFinding) -> EvidenceFinding:
    """The finding that shows more of the method, or the first; but where the doubt of one is what
    it did not see of arcs that the other sees whole, the other."""
    for doubted, seen in ((one, other), (other, one)):
        if (
            doubted.verdict == "unsure"
            and not doubted.whole
            and seen.whole
            and _same(doubted, seen)
        ):
            return seen
    return min((one, other), key=lambda f: RANK[f.verdict])


def _same(one: EvidenceFinding, other: EvidenceFinding) -> bool:
    """Whether two findings are of arcs of the same radii."""
    pairs = zip(one.radii, other.radii, strict=False)
    return len(one.radii) == len(other.radii) > 0 and all(
        abs(a - b) < _SAME_RADIUS_MM for a, b in pairs
    )


def _is_plain(evidence: ArcEvidence) -> bool:
    """Whether the arcs have one form only, so that what is not there was not drawn."""
    if evidence.of_choice:
        return all(_is_plain(part) for part in evidence.parts)
    return evidence.kind in ("equal-arcs", "arm-arcs") or evidence.least > 1


def unless_loose(
    found: EvidenceFinding, evidence: ArcEvidence, scene: Scene, claimed: frozenset[int]
) -> EvidenceFinding:
    """Arcs that were not seen at all, in doubt where strokes that no evidence has ``claimed`` cross
    on a ruled line as arcs do."""
    unseen = found.verdict == "no" and not found.radii and not _is_plain(evidence)
    if not unseen or not loose_crossing(scene, scene.barred | claimed):
        return found
    why = f"{found.why}; but strokes cross on a line as arcs do: look at the paper"
    return replace(found, verdict="unsure", why=why)


def unless_faint(found: EvidenceFinding, evidence: ArcEvidence, scene: Scene) -> EvidenceFinding:
    """Arcs of asked radii that were not seen at all, in doubt where something fainter than a
    stroke runs along one of them, or where pencil goes on along both past the pupil's own corner
    near by: at a right angle it may be sides that were ruled too far, or the arcs."""
    pattern = evidence.pattern
    if pattern is None or found.verdict != "no" or found.radii:
        return found
    picture = scene.picture
    for one, two, at in asked_crossings(pattern, scene.points, scene.mm_per_cm):
        for circle, other in ((one, two), (two, one)):
            if faint_past(picture, circle.centre, circle.radius, other.centre, at):
                why = f"{found.why}, but something faint runs where they should be"
                return replace(found, verdict="unsure", why=why)
        corner = own_corner(scene.ink, at)
        if corner is not None and all(
            goes_on_past(picture, circle.centre, other.centre, corner)
            for circle, other in ((one, two), (two, one))
        ):
            why = f"{found.why}, but pencil goes on past the corner as they would"
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


def _find(scene: Scene, evidence: ArcEvidence) -> EvidenceFinding:
    centres = [scene.points[name] for name in evidence.centres if name in scene.points]
    if len(centres) < len(evidence.centres):
        return EvidenceFinding(evidence.name, "no", "its centres are not on this page")
    if not scene.ink.pieces:
        return EvidenceFinding(evidence.name, "no", "there are no construction arcs")
    if evidence.kind == "some-of":
        return _some_of(scene, evidence)
    if evidence.pattern is not None:
        return find_pattern(scene, evidence, evidence.pattern)
    if evidence.kind == "equal-arcs":
        return equal_arcs(scene, evidence, centres[0], centres[1])
    vertex, *arms = centres
    found = arm_arcs(scene, evidence, vertex, arms)
    if not evidence.opposite or found.verdict == "yes":
        return found
    across = [vertex * 2 - arm for arm in arms]
    other = arm_arcs(scene, evidence, vertex, across)
    return other if found.verdict == "no" or other.verdict == "yes" else found


def _looked_at(scene: Scene, look: int) -> Scene:
    """The scene, to be looked at so closely."""
    return replace(scene, picture=replace(scene.picture, look=look))


def _some_of(scene: Scene, evidence: ArcEvidence) -> EvidenceFinding:
    """As many of the parts as are needed. Of equally good ones those come first that were seen at
    first sight, then those that stand on arcs of their own, then the first. Parts with marks of
    their own are left out of what is told and claimed."""
    every = [_find(_looked_at(scene, LOOKS[0]), part) for part in evidence.parts]
    plain = [f.verdict == "yes" for f in every]
    for look in LOOKS[1 : scene.picture.look + 1]:
        closer = _looked_at(scene, look)
        every = [
            f if f.verdict == "yes" else _better(_find(closer, part), f)
            for f, part in zip(every, evidence.parts, strict=True)
        ]
    taken = _best_of(every, plain, evidence.least)
    told = taken[evidence.beyond :]
    last = told[-1]
    others = [f for f in every if not any(f is one for one in taken[: evidence.beyond])]
    number = sum(f.verdict == "yes" for f in every)
    if evidence.of_choice and last.verdict == "no":
        last = _attempted(last, [arc for f in taken[:-1] for arc in f.arcs])
        if not last.radii:
            what = f"no {evidence.name}" if len(told) == 1 else "no others"
            last = replace(last, why=f"{what} were found")
    why = last.why
    if len(told) > 1:
        why = f"{number} of the {evidence.least} that are needed: {why}"
    return replace(
        last,
        evidence=evidence.name,
        why=why,
        pieces=frozenset(k for f in others for k in f.pieces),
        arcs=tuple(dict.fromkeys(arc for f in told for arc in f.arcs)),
        traces=any(f.traces for f in every),
    )


def _best_of(
    every: Sequence[EvidenceFinding], plain: Sequence[bool], number: int
) -> list[EvidenceFinding]:
    """The best so many, the best first (``plain`` ones before others), each on as many arcs of its
    own as can be."""
    left, taken = list(range(len(every))), list[EvidenceFinding]()

    def cost(k: int) -> tuple[int, bool, bool, int, bool, bool]:
        f = every[k]
        begun = f.verdict == "no" and f.traces and bool(f.arcs)
        own = _own(f, [arc for one in taken for arc in one.arcs])
        return (RANK[f.verdict], not plain[k], not begun, -len(own), not f.radii, not f.pieces)

    while left and len(taken) < number:
        best = min(left, key=cost)
        left.remove(best)
        taken.append(every[best])
    return taken


def _attempted(found: EvidenceFinding, before: Sequence[SeenArc]) -> EvidenceFinding:
    """Arcs that do not show a method, less those that served another: what is left of an attempt,
    and nothing where all of them did. In doubt where arcs cross that are but partly its own."""
    own = _own(found, before)
    if len(own) == len(found.arcs):
        return found
    left = replace(found, radii=tuple(arc.radius for arc in own[-1:]), arcs=tuple(own))
    if not own or not found.pieces or found.shortfall:
        return replace(left, shortfall=False)
    why = f"{found.why}; but not all of these arcs may have been struck for it"
    return replace(left, verdict="unsure", why=why)


def _own(found: EvidenceFinding, before: Sequence[SeenArc]) -> list[SeenArc]:
    """The arcs of a finding that are not among others."""
    taken = {place for arc in before for place in _places(arc)}
    return [arc for arc in found.arcs if 2 * len(_places(arc) & taken) < len(_places(arc))]


def _places(arc: SeenArc) -> frozenset[tuple[float, float]]:
    return frozenset((float(x), float(y)) for x, y in arc.xy)
