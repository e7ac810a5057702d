"""One answer, marked: from the pencil in its frame to findings, faults and marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from millimark.loci.conditions import Equidistant, PointOf, RayOf
from millimark.marking.coverage import FreePencil, Ground
from millimark.marking.decide import Doubt, decide, unmarked
from millimark.marking.dots import lone_dot
from millimark.marking.doubled import centred
from millimark.marking.evidence import (
    find_evidence,
    unless_faint,
    unless_line_is_right,
    unless_loose,
)
from millimark.marking.expected import Expected
from millimark.marking.faint import Picture
from millimark.marking.faults import Setting, earned, faults_of, left_open, nothing_drawn
from millimark.marking.findings import (
    ElementFinding,
    EvidenceFinding,
    Fault,
    Mark,
    QuestionMarks,
    RegionFinding,
)
from millimark.marking.hatch_edge import with_hatching
from millimark.marking.ink import Ink, pieces_of
from millimark.marking.line_ends import with_line_ends
from millimark.marking.matching import Matching, match
from millimark.marking.measure import measure
from millimark.marking.misreading import drawn_lengths
from millimark.marking.mistakes import Drawn, misconception
from millimark.marking.needle_holes import with_needle
from millimark.marking.partings import parted
from millimark.marking.points import find_points
from millimark.marking.primitives import Primitive, crossed_out_in, hatching_in, primitives_of
from millimark.marking.scene import Scene
from millimark.marking.shading import judge_region
from millimark.marking.stray_ends import without_stray_ends
from millimark.marking.swapped_points import causes_of_points
from millimark.marking.unexplained import beside_tones
from millimark.marking.unfollowed import TOO_MUCH, unfollowed
from millimark.marking.written import find_written, on_lines
from millimark.paper.question import Question
from millimark.plane.point import Point
from millimark.scan.reading import FrameReading, PageReading
from millimark.working.acts import ArcEvidence

_BLANK_MM = 6.0
"""Less pencil than this, mm, and no shading: nothing was drawn."""
_PALE = 0.13
"""Mean darkness under which a drawing is pale: a third of usual pencil, twice what is traced."""
_KNOWN = 0.005
"""Standard uncertainty of a print scale that somebody or something has told."""


def examine(
    question: Question, expect: Expected, frame: FrameReading, page: PageReading
) -> QuestionMarks:
    """Mark the answer in one frame of a page that was read."""
    scale = page.print_scale
    pieces = without_stray_ends(with_line_ends(parted(pieces_of(frame.strokes, scale))))
    drawing = [p for p in pieces if not on_lines(p, expect)]
    ink = Ink.of(drawing)
    readings = find_written(frame, expect)
    primitives = primitives_of(ink) if ink.pieces else []
    wanted = wanted_evidence(expect)
    evidence = _evidence(ink, expect, wanted, primitives, frame)
    claimed = frozenset(k for e in evidence for k in e.pieces)
    given = expect.points.values()
    matching = match(ink, primitives, expect.wanted, expect.frame, claimed, given)
    struck = crossed_out_in(primitives)
    lines = {k for m in matching.matches for k in m.pieces}
    free = frozenset(range(len(ink.pieces))) - lines - struck - claimed
    pencil = _free_pencil(ink, free, hatching_in(primitives))
    ground = _ground(question, frame, page, expect, pencil)
    ink, twice = centred(ink, (k for m in matching.matches for k in m.pieces), ground)
    elements = tuple(
        measure(ink, w, m, matching.targets, ground, twice)
        for w, m in zip(expect.wanted, matching.matches, strict=True)
    )
    elements = tuple(with_needle(e, ground, page.two_tone) for e in elements)
    limit = question.tolerance.length_mm
    evidence = tuple(
        unless_line_is_right(found, arcs, elements, limit)
        for found, (arcs, _) in zip(evidence, wanted, strict=True)
    )
    if expect.regions:
        elements = with_hatching(elements, evidence, matching, ink)
    region = _region(frame, scale, expect, ink, primitives, matching, claimed, elements)
    points = find_points(ink, frame, expect, page.map_sigma_mm * scale)
    drawn = sum(p.length for p in primitives)
    blank = drawn < _BLANK_MM and not region.shaded and not any(p.found for p in points)
    blank = blank and not any(r.written for r in readings)
    unknown = page.print_scale_source == "assumed" and page.scale_sigma > _KNOWN
    lost = not expect.regions and _is_unfollowed(frame, expect)
    doubt = Doubt(page.two_tone, unknown, lost, _is_pale(ink))
    marks = decide(question, elements, evidence, region, blank, doubt, points, readings)
    drawn_lines = Drawn(ink, primitives, matching)
    faults = _faults(frame, expect, elements, evidence, region, blank, drawn_lines, marks)
    if not blank:
        causes = causes_of_points(ink, frame, expect, points, page.map_sigma_mm * scale)
        faults = (*faults, *causes)
    lengths = () if unknown else drawn_lengths(expect.wanted, elements)
    return QuestionMarks(
        question.number,
        marks,
        elements,
        evidence,
        region,
        faults,
        page.page.page,
        points,
        lengths,
        readings,
    )


def _is_pale(ink: Ink) -> bool:
    """Whether the answer was drawn so lightly that arcs may have gone unseen."""
    if not ink.pieces:
        return False
    dark = np.average([p.darkness for p in ink.pieces], weights=ink.lengths + 1e-9)
    return float(dark) < _PALE


def _faults(
    frame: FrameReading,
    expect: Expected,
    elements: tuple[ElementFinding, ...],
    evidence: tuple[EvidenceFinding, ...],
    region: RegionFinding,
    blank: bool,
    drawn: Drawn,
    marks: Sequence[Mark],
) -> tuple[Fault, ...]:
    """Likely causes; a lone dot is looked for only where a line is missing."""
    missing = any(not e.found for e in elements)
    dotted = missing and lone_dot(frame, _corner(frame, expect))
    question = expect.question
    if blank and not dotted:
        return () if any(m.decision == "teacher" for m in marks) else nothing_drawn()
    got, doubted = earned(question.scheme, marks), left_open(question.scheme, marks)
    setting = Setting(question.tolerance.length_mm, dotted, expect.points, got, doubted)
    return faults_of(
        expect.wanted,
        elements,
        evidence,
        region,
        setting,
        lambda wanted: misconception(wanted, expect, drawn),
    )


def _corner(frame: FrameReading, expect: Expected) -> tuple[float, float]:
    """The frame's top-left corner, page mm."""
    x0, y0, x1, _ = expect.frame
    scale = (x1 - x0) * frame.px_per_mm / frame.pencil.shape[1]
    return x0 / scale, y0 / scale


def _is_unfollowed(frame: FrameReading, expect: Expected) -> bool:
    return unfollowed(frame, _corner(frame, expect)) > TOO_MUCH


def not_there(question: Question, reason: str) -> QuestionMarks:
    """A question whose page was not there to mark: everything to the teacher, with why."""
    elements = tuple(
        ElementFinding(e.name, e.kind, False)
        for e in {e.name: e for a in question.answers for e in a.elements}.values()
    )
    evidence = tuple(
        EvidenceFinding(c.subject, "unsure", reason) for c in question.scheme if c.arcs is not None
    )
    asked = any(c.kind == "region" for c in question.scheme)
    return QuestionMarks(
        question.number,
        unmarked(question, reason),
        elements,
        evidence,
        RegionFinding(asked=asked),
        (),
        None,
    )


def _evidence(
    ink: Ink,
    expect: Expected,
    wanted: Sequence[tuple[ArcEvidence, str]],
    primitives: Sequence[Primitive],
    frame: FrameReading,
) -> tuple[EvidenceFinding, ...]:
    """Evidence of the scheme and of every bisector, so that its arcs are known as such."""
    barred = hatching_in(primitives) | crossed_out_in(primitives)
    asked = {c.arcs.name for c in expect.question.scheme if c.arcs is not None}
    cm = expect.to_paper.scale
    picture = Picture(frame.pencil, frame.unseen, expect.frame)
    marked = tuple(at for _, places in expect.marked for at in places)
    scenes = [
        Scene(ink, {**expect.points, **_unprinted(expect, arcs)}, barred, cm, picture, marked)
        for arcs, _ in wanted
    ]
    every = [
        unless_faint(find_evidence(scene, arcs), arcs, scene)
        for scene, (arcs, _) in zip(scenes, wanted, strict=True)
    ]
    claimed = frozenset(k for found in every for k in found.pieces)
    return tuple(
        replace(unless_loose(found, arcs, scene, claimed), owner=owner, asked=arcs.name in asked)
        for found, scene, (arcs, owner) in zip(every, scenes, wanted, strict=True)
    )


def _unprinted(expect: Expected, arcs: ArcEvidence) -> dict[str, Point]:
    """Places in paper mm of needle points that are fixed by the givens but carry no letter
    (where two lines cross): they shrink with the print as the figure does."""
    if not arcs.unprinted:
        return {}
    a, b = list(expect.figure.points)[:2]
    true, printed = (
        figure.points[a].distance(figure.points[b])
        for figure in (expect.question.figure, expect.figure)
    )
    return {name: expect.to_paper(at * (printed / true)) for name, at in arcs.unprinted}


def wanted_evidence(expect: Expected) -> list[tuple[ArcEvidence, str]]:
    """(evidence, element) pairs, the scheme's own first, each name once."""
    found: dict[str, tuple[ArcEvidence, str]] = {}
    owners = {tuple(sorted(_labels(w.element.locus))): w.name for w in expect.wanted}
    for criterion in expect.question.scheme:
        if criterion.arcs is not None:
            owner = criterion.arcs.element or owners.get(tuple(sorted(criterion.arcs.centres)), "")
            found.setdefault(criterion.arcs.name, (criterion.arcs, owner))
    for wanted in expect.wanted:
        if any(owner == wanted.name for _, owner in found.values()):
            continue
        arcs = _usual_evidence(wanted.element.locus)
        if arcs is not None:
            found.setdefault(arcs.name, (arcs, wanted.name))
    return list(found.values())


def _labels(locus: object) -> tuple[str, ...]:
    """The labels that a bisector's construction puts its needle on or reads."""
    if not isinstance(locus, Equidistant):
        return ()
    match locus.features:
        case (PointOf(a), PointOf(b)):
            return (a, b)
        case (RayOf(a, b), RayOf(c, d)) if a == c:
            return (a, b, d)
    return ()


def _usual_evidence(locus: object) -> ArcEvidence | None:
    """The arcs that the usual construction of a bisector leaves; None for other loci."""
    labels = _labels(locus)
    if len(labels) == 2:
        return ArcEvidence(f"equal arcs from {labels[0]} and {labels[1]}", "equal-arcs", labels)
    if len(labels) == 3:
        name = f"arc about {labels[0]} cutting both arms, then equal arcs from the cuts"
        return ArcEvidence(name, "arm-arcs", labels)
    return None


def _ground(
    question: Question,
    frame: FrameReading,
    page: PageReading,
    expect: Expected,
    free: FreePencil,
) -> Ground:
    scale = page.print_scale
    return Ground(
        map_sigma_mm=page.map_sigma_mm * scale,
        scale_sigma=page.scale_sigma / scale,
        frame=expect.frame,
        tolerance_mm=question.tolerance.length_mm,
        hidden=frame.unseen,
        pencil=frame.pencil,
        px_per_paper_mm=frame.px_per_mm / scale,
        lines=beside_tones(frame.pencil, frame.px_per_mm) if expect.regions else None,
        free=free,
    )


def _free_pencil(ink: Ink, pieces: frozenset[int], hatch: frozenset[int]) -> FreePencil:
    """What the ``pieces`` are that nothing accounts for, some of them ``hatch``."""
    chosen = sorted(pieces)
    tangent = [ink.pieces[k].tangent for k in chosen]
    hatched = [np.full(len(ink.pieces[k].xy), k in hatch) for k in chosen]
    return FreePencil(
        ink.points(chosen),
        np.concatenate(tangent) if tangent else np.zeros((0, 2)),
        np.concatenate(hatched) if hatched else np.zeros(0, dtype=bool),
    )


def _region(
    frame: FrameReading,
    scale: float,
    expect: Expected,
    ink: Ink,
    primitives: Sequence[Primitive],
    matching: Matching,
    claimed: frozenset[int],
    elements: tuple[ElementFinding, ...],
) -> RegionFinding:
    """Shading; lines and arcs that are accounted for are not taken for it."""
    lines = {k for m in matching.matches for k in m.pieces} | claimed
    struck: set[int] = set()
    for p in primitives:
        if p.cancelled:
            struck.update(p.pieces)
        elif p.shape == "arc" and p.length > 12.0 and not p.hatch:
            lines.update(p.pieces)
    kept, out = frozenset(lines), frozenset(struck - lines)
    region = judge_region(frame, scale, expect, ink, matching, kept, out, elements)
    limit = expect.question.tolerance.length_mm
    off = any(e.found and (e.worst_needed_mm or 0.0) > limit for e in elements)
    return replace(region, follow_through=region.shaded and off)
