"""What is drawn over one answer: the right locus, what was measured, and a sentence per mark.

Page millimetres. Every meaning has a shape or a word as well as a colour: a tick and
'awarded', a cross and 'withheld', a question mark in a circle and 'for the teacher'.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate, pairwise

import cv2
import numpy as np

from millimark.drawing import look
from millimark.drawing.canvas import Canvas, Lettering, Paint, Pen
from millimark.drawing.lettering import text_width
from millimark.drawing.svg import SvgCanvas
from millimark.marking.expected import Expected, clipped_samples
from millimark.marking.findings import (
    Decision,
    ElementFinding,
    EvidenceFinding,
    Mark,
    PointFinding,
    QuestionMarks,
    RegionFinding,
)
from millimark.marking.ink import Array
from millimark.marking.needle_holes import needle_astray
from millimark.marking.room import Box, Room
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.scan.medians import median
from millimark.scan.reading import FrameReading
from millimark.sheet.layout import QuestionPlace

RIGHT_PEN = Pen(look.THIN, look.PLUM, dash=(1.6, 0.9))
DRAWN_PEN = Pen(look.MEDIUM, look.STEEL, opacity=0.75)
OUTLINE_PEN = Pen(look.FINE, look.STEEL, dash=(0.5, 0.7))
COLOUR: dict[Decision, str] = {"awarded": look.MOSS, "withheld": look.RUST, "teacher": look.STEEL}
WORD: dict[Decision, str] = {
    "awarded": "awarded",
    "withheld": "withheld",
    "teacher": "for the teacher",
}
_GROUND = Paint(look.PAPER, opacity=0.86)
_NOTE_GROUND = Paint(look.PAPER, opacity=0.92)
_LINE = 3.5  # mm from baseline to baseline of small text
_TOLD_MM = 0.4
"""A radius less sure than this is not told: a short arc does not fix it."""
_HOLE_MM = 0.8
"""Radius of the ring about a needle's hole, mm."""
_BRIEF_COST, _SPLIT_COST = 6.0, 25.0
"""A brief note is as good as one that covers so many mm² more; one that covers this much is
written in pieces."""
_TITLE_MM = 5.0
_STRAY_MM = 0.015
"""About how far a line drawn may stray from its points, mm: a tenth of the finest pen's width."""
_WORD_MM = look.BODY
"""Cap height of a measured value, mm: a pupil's sheet shows it at down to three quarters."""
_BOLD_WIDER = 1.06  # than the widths of the regular face that are known
_WIDTHS = (62.0, 78.0, 100.0, 135.0, 165.0)  # of the note, mm; the one that covers least is taken


def draw_answer(
    canvas: Canvas,
    notes: Canvas,
    place: QuestionPlace,
    frame: FrameReading,
    expect: Expected,
    marks: QuestionMarks,
    scale: float,
) -> None:
    """Draw one answer's findings over its frame, and its marks with their reasons on ``notes``."""
    room = Room(place.frame_mm, (frame.pencil > 0.08) | frame.unseen)
    for wanted in expect.wanted:
        for curve in wanted.needed:
            room.take_points(clipped_samples(curve, expect.frame, 1.0) / scale, 0.7)
    placed = _place_notes(room, _note(marks))  # before the labels: they find room more easily
    _right_locus(canvas, expect, scale)
    for element in marks.elements:
        _measured(canvas, room, element, expect, scale)
    for point in marks.points:
        _marked(canvas, room, point, expect, scale)
    for evidence in marks.evidence:
        _arcs(canvas, room, evidence, expect, scale)
    _shading(canvas, marks.region, scale)
    _write_notes(notes, placed, marks)


def write_notes(canvas: Canvas, room: Room, marks: QuestionMarks) -> None:
    """The marks with their reasons, anew, where ``room`` leaves place for them."""
    _write_notes(canvas, _place_notes(room, _note(marks)), marks)


def _write_notes(canvas: Canvas, placed: Sequence[_Note], marks: QuestionMarks) -> None:
    for k, note in enumerate(placed):
        _write_note(canvas, note, marks if k == 0 else None)


# --- what was measured -----------------------------------------------------------------
def _right_locus(canvas: Canvas, expect: Expected, scale: float) -> None:
    for wanted in expect.wanted:
        for curve in wanted.needed:
            _polyline(canvas, clipped_samples(curve, expect.frame, 0.5) / scale, RIGHT_PEN)


def _measured(
    canvas: Canvas, room: Room, e: ElementFinding, expect: Expected, scale: float
) -> None:
    if not e.found or e.worst_mm is None:
        return
    for deviation in e.profile:
        _polyline(canvas, deviation.xy[::3] / scale, DRAWN_PEN)
    limit = expect.question.tolerance.length_mm
    out = e.worst_mm > limit
    colour = look.RUST if out else look.MOSS
    if e.worst_at is not None:
        at = Point(e.worst_at.x / scale, e.worst_at.y / scale)
        foot = _foot(expect, e, scale, at)
        if foot is not None and foot.distance(at) > 0.3:
            _span(canvas, at, foot, colour)
        word = f"{e.worst_mm:.1f} mm off" if out else f"within {e.worst_mm:.1f} mm"
        _label(canvas, room, word, at, colour)
    known = e.radius_sigma_mm is not None and e.radius_sigma_mm < _TOLD_MM
    if known and e.radius_mm is not None and e.centre is not None:
        centre = Point(e.centre.x / scale, e.centre.y / scale)
        x0, y0, x1, y1 = room.box
        if x0 < centre.x < x1 and y0 < centre.y < y1:
            _label(canvas, room, f"radius {e.radius_mm:.1f} mm", centre, look.STEEL)
    wanted = next(w for w in expect.wanted if w.name == e.element)
    if e.needle is not None and needle_astray(wanted, e) is not None:
        canvas.stroke([Arc(e.needle * (1.0 / scale), _HOLE_MM)], Pen(look.FINE, look.RUST))


def _foot(expect: Expected, e: ElementFinding, scale: float, at: Point) -> Point | None:
    """The locus's point nearest to ``at`` (page mm)."""
    wanted = next((w for w in expect.wanted if w.name == e.element), None)
    if wanted is None or not wanted.curves:
        return None
    p = at * scale
    curve = min(wanted.curves, key=lambda c: c.distance_to(p))
    return curve.point_at(curve.nearest(p)) * (1.0 / scale)


def _marked(
    canvas: Canvas, room: Room, point: PointFinding, expect: Expected, scale: float
) -> None:
    """The ring of the tolerance about a point's place, and how far the pupil's mark is off."""
    limit = expect.question.tolerance.length_mm
    place = Point(point.at.x / scale, point.at.y / scale)
    canvas.stroke([Arc(place, limit / scale)], RIGHT_PEN)
    if point.marked_at is None or point.off_mm is None:
        _label(canvas, room, "no mark", place, look.RUST)
        return
    at = Point(point.marked_at.x / scale, point.marked_at.y / scale)
    out = point.off_mm > limit
    colour = look.RUST if out else look.MOSS
    if at.distance(place) > 0.3:
        _span(canvas, at, place, colour)
    word = f"{point.off_mm:.1f} mm off" if out else f"within {point.off_mm:.1f} mm"
    _label(canvas, room, word, place, colour)


def _span(canvas: Canvas, a: Point, b: Point, colour: str) -> None:
    """A measured gap: a bold bar with a tick at each end."""
    across = (b - a).unit().left() * 1.1
    canvas.stroke([Segment(a, b)], Pen(look.BOLD, colour))
    for p in (a, b):
        canvas.stroke([Segment(p - across, p + across)], Pen(look.MEDIUM, colour))


def _arcs(canvas: Canvas, room: Room, e: EvidenceFinding, expect: Expected, scale: float) -> None:
    """Recognised construction arcs, each with the radius that the pupil chose."""
    for arc in e.arcs:
        _polyline(canvas, arc.xy[::3] / scale, Pen(look.FINE, look.STEEL, dash=(0.9, 0.5)))
    for radius in {round(a.radius, 1): a for a in e.arcs}.values():
        middle = radius.xy[len(radius.xy) // 2] / scale
        at = Point(float(middle[0]), float(middle[1]))
        _label(canvas, room, f"arc {radius.radius:.1f} mm", at, look.STEEL)


def _shading(canvas: Canvas, region: RegionFinding, scale: float) -> None:
    for ring in region.outline:
        _polyline(canvas, np.vstack((ring, ring[:1])) / scale, OUTLINE_PEN)


def _polyline(canvas: Canvas, xy: Array, pen: Pen) -> None:
    """A polyline; it is broken where points are far apart."""
    if len(xy) < 2:
        return
    step = np.hypot(*np.diff(xy, axis=0).T)
    usual = median(step)
    runs = np.split(xy, np.flatnonzero(step > max(4.0 * usual, 1.0)) + 1) if len(xy) > 3 else [xy]
    for run in runs:
        canvas.stroke(_few_segments(run), pen)


def _few_segments(xy: Array) -> list[Curve]:
    """The polyline through points (N, 2) with as few segments as keep within `_STRAY_MM` of it.
    The first point, the last and one midway stay: a closed line must not shrink to a point."""
    middle = len(xy) // 2
    points: list[Point] = []
    for half in (xy[: middle + 1], xy[middle:]):
        kept = cv2.approxPolyDP(half[:, None].astype(np.float32), _STRAY_MM, closed=False)
        points += [Point(x, y) for x, y in kept[:, 0].tolist()]
    return [Segment(a, b) for a, b in pairwise(points) if a.distance(b) > 1e-6]


def _label(canvas: Canvas, room: Room, text: str, near: Point, colour: str) -> None:
    """A short word beside a place, where it covers least."""
    lettering = Lettering(_WORD_MM, colour, bold=True)
    w, h = text_width(text, _WORD_MM) * _BOLD_WIDER + 1.2, _WORD_MM + 1.6
    best: tuple[float, Box] | None = None
    for reach in (2.0, 5.0, 9.0):
        if best is not None and best[0] <= 0.4 * reach:
            break
        for dx, dy in ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1)):
            x = near.x + dx * (reach + w / 2) - w / 2
            y = near.y + dy * (reach + h / 2) - h / 2
            box = (x, y, x + w, y + h)
            cost = room.cost(box) + 0.4 * reach
            if best is None or cost < best[0]:
                best = (cost, box)
    if best is None:
        return
    box = best[1]
    room.take(box, 6.0)
    _rectangle(canvas, box, _GROUND)
    canvas.write(text, Point(box[0] + 0.6, box[3] - 0.8), lettering)


def _rectangle(canvas: Canvas, box: Box, paint: Paint) -> None:
    canvas.fill([_sides(box)], paint)


def _sides(box: Box) -> list[Curve]:
    x0, y0, x1, y1 = box
    ring = [Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)]
    return [Segment(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]


# --- the note ---------------------------------------------------------------------------
@dataclass(frozen=True)
class _Row:
    """One mark (or a likely cause) of the note: its heading, what it is for, its sentence."""

    decision: Decision | None
    heading: str
    subject: str
    text: str

    def lines(self, width: float) -> list[tuple[str, str]]:
        """The lines below the heading with their colours, wrapped to ``width`` mm."""
        subject = [(line, look.SLATE) for line in wrapped(self.subject, width, look.SMALL)]
        return subject + [(line, look.INK) for line in wrapped(self.text, width, look.SMALL)]


def _note(marks: QuestionMarks) -> list[_Row]:
    rows = [
        _Row(m.decision, f"{m.code} {WORD[m.decision]}{_follow(m)}", m.criterion, m.told)
        for m in marks.marks
    ]
    if marks.awarded < marks.out_of:
        rows += [_Row(None, "Likely cause", "", f.text) for f in marks.faults[:2]]
    return rows


def _follow(mark: Mark) -> str:
    return ", follow-through" if mark.follow_through and mark.decision == "awarded" else ""


@dataclass(frozen=True)
class _Note:
    """Rows in a box: its top-left corner, width and height, page mm."""

    rows: tuple[_Row, ...]
    corner: Point
    width: float
    height: float

    @property
    def box(self) -> Box:
        return (
            self.corner.x,
            self.corner.y,
            self.corner.x + self.width,
            self.corner.y + self.height,
        )


def _place_notes(room: Room, rows: Sequence[_Row]) -> list[_Note]:
    """All rows in one note where there is room for it, else a note for each row."""
    whole, cost = _placed(room, tuple(rows), True)
    groups = [tuple(rows)] if cost < _SPLIT_COST else [(r,) for r in rows]
    notes = []
    for k, group in enumerate(groups):
        note = whole if len(groups) == 1 else _placed(room, group, k == 0)[0]
        room.take(note.box, 20.0)
        notes.append(note)
    return notes


def _placed(room: Room, rows: tuple[_Row, ...], titled: bool) -> tuple[_Note, float]:
    """The note that covers least of the work; where room is short, what the marks are for
    (printed in the mark scheme) is left out."""
    brief = tuple(replace(r, subject="") for r in rows)
    better: list[tuple[float, _Note]] = []
    for dearer, told in ((0.0, rows), (_BRIEF_COST, brief)):
        for width in _WIDTHS:
            least = dearer + 0.01 * width
            if better and better[-1][0] <= least:
                continue  # no need to look for room: it can be no better
            height = _height(told, width) + (_TITLE_MM if titled else 0.0)
            corner, covered = room.emptiest(width, height)
            if not better or covered + least < better[-1][0]:
                better.append((covered + least, _Note(told, corner, width, height)))
    cost, note = better[-1]
    return note, cost


def _height(rows: Sequence[_Row], width: float) -> float:
    lines = sum(1 + len(r.lines(width - 9.0)) for r in rows)
    return 3.0 + lines * _LINE + 1.2 * len(rows)


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Lines of ``text`` no wider than ``width`` mm; a longer word stands alone."""
    words, ends = _in_a_row(text, height)
    lines, first, left = [], 0, 0.0
    while first < len(words):
        stop = max(bisect_right(ends, left + width, first), first + 1)
        lines.append(" ".join(words[first:stop]))
        left = ends[stop - 1] + text_width(" ", height)
        first = stop
    return lines


@lru_cache(maxsize=64)
def _in_a_row(text: str, height: float) -> tuple[list[str], list[float]]:
    """The words of a text, and where each would end in one long line, mm. The same text is
    tried in notes of several widths."""
    words, space = text.split(), text_width(" ", height)
    sizes = (text_width(word, height) for word in words)
    return words, list(accumulate(sizes, lambda end, size: end + space + size))


def _write_note(canvas: Canvas, note: _Note, marks: QuestionMarks | None) -> None:
    """The note with its ground and edge; headed by the question's marks if given."""
    x, y = note.corner
    box = note.box
    _rectangle(canvas, box, _NOTE_GROUND)
    canvas.stroke(_sides(box), Pen(look.FINE, look.RULE))
    edge = Segment(Point(box[0], box[1]), Point(box[0], box[3]))
    canvas.stroke([edge], Pen(look.HEAVY, look.PLUM))
    if marks is not None:
        _write_title(canvas, Point(x + 2.2, y + 5.0), marks)
        y += _TITLE_MM
    y += 1.0
    for row in note.rows:
        y += _LINE
        colour = COLOUR[row.decision] if row.decision else look.SLATE
        if row.decision:
            symbol(canvas, row.decision, Point(x + 4.0, y - look.SMALL / 2))
        heading = Lettering(look.SMALL, colour, bold=True)
        canvas.write(row.heading, Point(x + 7.0, y), heading)
        for line, ink in row.lines(note.width - 9.0):
            y += _LINE
            canvas.write(line, Point(x + 7.0, y), Lettering(look.SMALL, ink))
        y += 1.2


def _write_title(canvas: Canvas, at: Point, marks: QuestionMarks) -> None:
    title = f"{marks.awarded} of {marks.out_of}"
    canvas.write(title, at, Lettering(look.BODY, look.PLUM, bold=True))
    waiting = sum(m.decision == "teacher" for m in marks.marks)
    if waiting:
        beside = Point(at.x + text_width(title, look.BODY) + 3.0, at.y)
        lettering = Lettering(look.SMALL, look.STEEL, bold=True)
        canvas.write(f"{waiting} for the teacher", beside, lettering)


def notes_again(svg: str, whole: Box, places: Sequence[tuple[QuestionPlace, QuestionMarks]]) -> str:
    """The notes of a page as the marks of its questions stand now, each where it stood in ``svg``
    (as ``draw_answer`` wrote it): what covers least of the work was settled there. ``whole`` is
    the page's box. A question whose note is not found gets one at the top of its frame."""
    canvas = SvgCanvas(whole)
    boxes = _note_boxes(svg)
    for place, marks in places:
        x0, y0, x1, y1 = place.frame_mm
        mine = [b for b in boxes if x0 <= (b[0] + b[2]) / 2 <= x1 and y0 <= (b[1] + b[3]) / 2 <= y1]
        rows = _note(marks)
        groups = [[r] for r in rows] if len(mine) == len(rows) > 1 else [rows]
        if len(mine) < len(groups):
            mine = [(x0 + 2.0, y0 + 2.0, x0 + 2.0 + _WIDTHS[0], y0 + 2.0)]
        for k, group in enumerate(groups):
            note = _renewed(tuple(group), mine[k], place.frame_mm, k == 0)
            _write_note(canvas, note, marks if k == 0 else None)
    return canvas.svg()


def _note_boxes(svg: str) -> list[Box]:
    """The boxes of the notes in a drawing of notes, in their order."""
    ground = f'fill="{_NOTE_GROUND.colour}" fill-opacity="{_NOTE_GROUND.opacity:g}"'
    boxes = []
    for data in re.findall(rf'<path d="([^"]*)" fill-rule="evenodd" {re.escape(ground)}/>', svg):
        numbers = [float(n) for n in re.findall(r"-?[0-9.]+", data)]
        boxes.append((min(numbers[::2]), min(numbers[1::2]), max(numbers[::2]), max(numbers[1::2])))
    return boxes


def _renewed(rows: tuple[_Row, ...], box: Box, frame: Box, titled: bool) -> _Note:
    """The rows in a note where another stood; it grows downwards, and up from the frame's end."""
    width, title = box[2] - box[0], _TITLE_MM if titled else 0.0
    height = _height(rows, width) + title
    if height > box[3] - box[1] + 0.1:  # what the marks are for was left out, or is now
        rows = tuple(replace(r, subject="") for r in rows)
        height = _height(rows, width) + title
    top = max(frame[1], min(box[1], frame[3] - height))
    return _Note(rows, Point(box[0], top), width, height)


def symbol(canvas: Canvas, decision: Decision, at: Point, size: float = 1.0) -> None:
    """A tick, a cross, or a question mark in a circle, about 3 mm wide at size 1."""
    pen = Pen(look.BOLD * size, COLOUR[decision])
    if decision == "awarded":
        a, b, c = Point(-1.4, 0.1), Point(-0.4, 1.2), Point(1.5, -1.4)
        canvas.stroke([Segment(at + a * size, at + b * size)], pen)
        canvas.stroke([Segment(at + b * size, at + c * size)], pen)
    elif decision == "withheld":
        d, e = Point(1.1, 1.1) * size, Point(1.1, -1.1) * size
        canvas.stroke([Segment(at - d, at + d)], pen)
        canvas.stroke([Segment(at - e, at + e)], pen)
    else:
        canvas.stroke([Arc(at, 1.5 * size)], Pen(look.MEDIUM * size, COLOUR[decision]))
        lettering = Lettering(look.SMALL * size, COLOUR[decision], anchor="middle", bold=True)
        canvas.write("?", Point(at.x, at.y + 0.9 * size), lettering)
