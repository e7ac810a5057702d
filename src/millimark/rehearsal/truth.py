"""truth.json: what was really drawn, and what it deserves. Strokes in page mm, facts in
real mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from millimark.loci.answer import Element
from millimark.plane.point import Point
from millimark.rehearsal.answering import Answered, own_region
from millimark.rehearsal.arc_facts import EvidenceFacts, evidence_facts
from millimark.rehearsal.deserved import Deserved, decide
from millimark.rehearsal.facts import (
    ElementFacts,
    RegionFacts,
    element_facts,
    region_facts,
)
from millimark.rehearsal.hands import Pupil
from millimark.rehearsal.pencil import Hole, PencilStroke, resampled
from millimark.rehearsal.pointing import points_off
from millimark.rehearsal.reading_off import readings
from millimark.rehearsal.setting import Setting
from millimark.working.acts import ArcEvidence

FORMAT, VERSION = "millimark-rehearsal-truth", 1


def question_truth(setting: Setting, answered: Answered, print_scale: float) -> dict[str, Any]:
    """Everything true about one answer, as plain data."""
    strokes = answered.sketch.strokes
    elements = {
        e.name: element_facts(e, strokes, setting.to_paper, setting.frame) for e in setting.elements
    }
    evidence = _evidence(setting, strokes)
    region = _region(setting, answered)
    tolerance = setting.question.tolerance
    rivals = {s.element for s in strokes if s.role == "rival" and s.element is not None}
    points = points_off(setting, strokes)
    blank = any(f.kind == "blank" for f in answered.faults)
    marks = decide(
        setting.question.scheme, tolerance, elements, evidence, region, rivals, points, not blank
    )
    return {
        "question": setting.question.number,
        "awarded": sum(m.awarded for m in marks),
        "out_of": len(marks),
        "deserved": [_mark(m) for m in marks],
        "faults": [
            {"fault": f.kind, "element": f.element, "size": round(f.size, 3)}
            for f in answered.faults
        ],
        "elements": [
            _element(elements[e.name], e, tolerance.length_mm, print_scale)
            for e in setting.elements
        ],
        "evidence": [
            {"evidence": e.evidence, "found": e.found, "slack_mm": _round(e.slack_mm)}
            for e in evidence.values()
        ],
        "points": [
            {"points": name, "off_mm": _round(off)} for name, offs in points.items() for off in offs
        ],
        "readings": _readings(setting, answered),
        "region": None if region is None else {
            "shaded": region.shaded,
            "overlap": _round(region.overlap),
            "filled": _round(region.filled),
            "inside": _round(region.inside),
            "right_side": region.right_side,
        },
        "holes": [_hole(h, print_scale) for h in answered.sketch.holes],
        "strokes": [_stroke(s, print_scale) for s in strokes],
    }  # fmt: skip


def pupil_truth(pupil: Pupil) -> dict[str, Any]:
    """Who drew."""
    return {
        "name": pupil.name,
        "hand": pupil.hand.name,
        "left_handed": pupil.left_handed,
        "hatching": pupil.hatching,
    }


def _evidence(setting: Setting, strokes: Sequence[PencilStroke]) -> dict[str, EvidenceFacts]:
    return {
        e.name: evidence_facts(e, strokes, _needle_points(setting, e), setting.to_paper.scale)
        for step in setting.working.steps
        for e in step.evidence
    }


def _needle_points(setting: Setting, evidence: ArcEvidence) -> dict[str, Point]:
    """Every labelled point and those that the working fixes without a letter, paper mm."""
    return {
        **setting.points,
        **{name: setting.to_paper(at) for name, at in evidence.unprinted},
    }


def _readings(setting: Setting, answered: Answered) -> list[dict[str, Any]]:
    """What was written down, beside what the figure and what the pupil's own lines measure."""
    lines = [s for s in answered.sketch.strokes if s.role == "answer"]
    return [
        {"unit": r.unit, "true": _round(r.true), "own": _round(r.own), "written": text}
        for r, text in zip(readings(setting, lines), answered.written, strict=False)
    ]


def _region(setting: Setting, answered: Answered) -> RegionFacts | None:
    if setting.region is None:
        return None
    lines = [s for s in answered.sketch.strokes if s.role == "answer"]
    shading = answered.sketch.shading
    return region_facts(None if shading is None else shading.mask, own_region(setting, lines))


def _element(
    facts: ElementFacts, element: Element, tolerance: float, print_scale: float
) -> dict[str, Any]:
    centre = facts.centre
    return {
        "element": element.name,
        "kind": element.kind,
        "found": facts.found,
        "drawn_mm": _round(facts.drawn_mm),
        "worst_mm": _round(facts.worst_mm),
        "mean_mm": _round(facts.mean_mm),
        "worst_needed_mm": _round(facts.worst_needed_mm),
        "offset_mm": _round(facts.offset_mm),
        "angle_deg": _round(facts.angle_deg),
        "centre_mm": None if centre is None else [_round(v / print_scale) for v in centre],
        "radius_mm": _round(facts.radius_mm),
        "coverage": _round(facts.coverage(tolerance)),
        "coverage_straight": _round(facts.coverage(tolerance, "straight")),
        "coverage_round": _round(facts.coverage(tolerance, "round")),
        "covered_mm": _round(facts.covered_mm(tolerance)),
    }


def _mark(mark: Deserved) -> dict[str, Any]:
    return {
        "code": mark.code,
        "criterion": mark.criterion,
        "decision": mark.decision,
        "clear": mark.clear,
        "margin_mm": _round(mark.margin_mm),
        "margin_share": _round(mark.margin_share),
        "margin_deg": _round(mark.margin_deg),
        "deciding": mark.deciding,
    }


def _stroke(stroke: PencilStroke, print_scale: float) -> dict[str, Any]:
    """Points about 1 mm apart (their chords stray by under 0.01 mm on any pupil's arc)."""
    xy = resampled(stroke.xy, 1.0) / print_scale
    compass = stroke.compass
    return {
        "role": stroke.role,
        "element": stroke.element,
        "width_mm": _round(stroke.width),
        "darkness": _round(stroke.darkness),
        "compass": None if compass is None else {
            "about": compass.about,
            "centre_mm": [_round(v / print_scale) for v in compass.centre],
            "radius_mm": _round(compass.radius),
        },
        "xy_mm": np.round(xy, 3).tolist(),
    }  # fmt: skip


def _hole(hole: Hole, print_scale: float) -> dict[str, Any]:
    return {
        "about": hole.about,
        "at_mm": [_round(v / print_scale) for v in hole.at],
        "width_mm": _round(hole.width),
        "depth": _round(hole.depth),
    }


def _round(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, 4)
