"""marks.json and marks.csv: findings and decisions as files (see ``schemas/marks.json``)."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from millimark.marking.findings import (
    ElementFinding,
    PageLine,
    QuestionMarks,
    RegionFinding,
    Script,
)
from millimark.plane.point import Point

FORMAT = "millimark-marks"
VERSION = 1


Box = tuple[float, float, float, float]


def as_json(
    pages: Sequence[PageLine],
    scripts: Sequence[Script],
    scales: dict[tuple[str, int], float],
    boxes: Mapping[tuple[str, str], Box] | None = None,
) -> dict[str, Any]:
    """The object that marks.json holds. ``scales``: print scale by (sheet, page); ``boxes``: by
    (sheet, question) the part of the page, mm, that shows the answer."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "pages": [_page(p) for p in pages],
        "scripts": [_script(s, scales, boxes or {}) for s in scripts],
    }


def write_json(data: dict[str, Any], path: Path) -> None:
    """Write marks.json; the same marks give the same bytes."""
    text = json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")


def write_csv(scripts: Sequence[Script], numbers: Sequence[str], path: Path) -> None:
    """Write marks.csv: a row for each pupil, a column for each question, total, for teacher."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(
        ["sheet", "pupil", *(f"question {n}" for n in numbers), "total", "out of", "for teacher"]
    )
    for s in scripts:
        by_number = {q.question: q for q in s.questions}
        cells = [by_number[n].awarded if n in by_number else "" for n in numbers]
        writer.writerow([s.sheet, safe_cell(s.pupil), *cells, s.total, s.out_of, s.for_teacher])
    path.write_text(buffer.getvalue(), encoding="utf-8-sig", newline="")


def safe_cell(text: str | None) -> str:
    """A name as a cell; one that a spreadsheet would run as a formula is quoted."""
    if not text:
        return ""
    return f"'{text}" if text[0] in "=+-@\t\r" else text


def _page(p: PageLine) -> dict[str, Any]:
    return {
        "source": p.source.name,
        "source_page": p.source.page,
        "status": p.status,
        "reason": p.reason,
        "sheet": p.sheet,
        "page": p.page,
        "print_scale": _number(p.print_scale, 5),
        "print_scale_source": p.print_scale_source,
        "registration_mm": _number(p.registration_mm, 4),
        "scale_seen": _number(p.scale_seen, 5),
    }


def _script(
    s: Script, scales: dict[tuple[str, int], float], boxes: Mapping[tuple[str, str], Box]
) -> dict[str, Any]:
    return {
        "sheet": s.sheet,
        "pupil": s.pupil,
        "total": s.total,
        "out_of": s.out_of,
        "questions": [
            _question(q, scales.get((s.sheet, q.page or 0), 1.0), boxes.get((s.sheet, q.question)))
            for q in s.questions
        ],
    }


def _question(q: QuestionMarks, scale: float, box: Box | None) -> dict[str, Any]:
    return {
        "question": q.question,
        "awarded": q.awarded,
        "out_of": q.out_of,
        "for_teacher": q.for_teacher,
        "marks": [
            {
                "code": m.code,
                "criterion": m.criterion,
                "decision": m.decision,
                "reason": m.told,
                "follow_through": m.follow_through,
                "picture": _picture(q, box) if m.decision == "teacher" else None,
            }
            for m in q.marks
        ],
        "elements": [_element(e, scale) for e in q.elements],
        "evidence": [
            {
                "evidence": e.evidence,
                "found": e.found,
                "verdict": e.verdict,
                "reason": e.why,
                "radii_mm": [_number(r, 3) for r in e.radii],
            }
            for e in q.evidence
        ],
        "points": [
            {
                "points": p.points,
                "found": p.found,
                "off_mm": _number(p.off_mm, 4),
                "uncertainty_mm": _number(p.uncertainty_mm, 4),
            }
            for p in q.points
        ],
        "readings": [
            {"reading": r.reading, "right": r.told, "counts": r.band, "written": r.written}
            for r in q.readings
        ],
        "region": _region(q.region),
        "faults": [
            {
                "fault": f.fault,
                "text": f.text,
                "size_mm": _number(f.size_mm, 2),
                "element": f.element,
                "confidence": _number(f.confidence, 3),
            }
            for f in q.faults
        ],
    }


def _picture(q: QuestionMarks, box: Box | None) -> dict[str, Any] | None:
    """Where to look: the page of the sheet and the part of it, page mm."""
    if box is None or q.page is None:
        return None
    return {"page": q.page, "box_mm": [_number(v, 2) for v in box]}


def _element(e: ElementFinding, scale: float) -> dict[str, Any]:
    return {
        "element": e.element,
        "found": e.found,
        "kind": e.kind,
        "worst_mm": _number(e.farthest_mm, 4),
        "mean_mm": _number(e.mean_mm, 4),
        "uncertainty_mm": _number(e.farthest_sigma_mm, 4),
        "coverage": _number(e.coverage, 4),
        "offset_mm": _number(e.offset_mm, 4),
        "offset_sigma_mm": _number(e.offset_sigma_mm, 4),
        "angle_deg": _number(e.angle_deg, 4),
        "centre_mm": _page_point(e.centre, scale),
        "radius_mm": _number(e.radius_mm, 4),
        "radius_sigma_mm": _number(e.radius_sigma_mm, 4),
        "worst_needed_mm": _number(e.worst_needed_mm, 4),
        "roughness_mm": _number(e.roughness_mm, 4),
        "drawn_with": e.drawn_with,
        "drawn_twice_mm": _number(e.twice_mm, 2),
        "needle_mm": _page_point(e.needle, scale),
    }


def _page_point(at: Point | None, scale: float) -> list[float | None] | None:
    """A place of the paper in page mm."""
    return None if at is None else [_number(at.x / scale, 4), _number(at.y / scale, 4)]


def _region(r: RegionFinding) -> dict[str, Any]:
    return {
        "asked": r.asked,
        "shaded": r.shaded,
        "overlap": _number(r.overlap, 4),
        "right_side": r.right_side,
        "inside": _number(r.inside, 4),
        "filled": _number(r.filled, 4),
    }


def _number(value: float | None, digits: int) -> float | None:
    """Rounded; None for nothing and for what is not a finite number."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), digits)
