"""One pupil's sheet, drawn and scanned: the unit of work of a rehearsal's process pool."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from millimark.paper.question import Paper, Question
from millimark.paper.raster import pdf_page
from millimark.paper.reading import paper_for_sheet
from millimark.rehearsal.answering import answer
from millimark.rehearsal.capture import Device, choose_device, take
from millimark.rehearsal.faults import Fault, choose, misread_ruler
from millimark.rehearsal.files import SUFFIX, encoded
from millimark.rehearsal.flatbed import MM_PER_INCH, Capture, printed
from millimark.rehearsal.graphite import draw, smear
from millimark.rehearsal.hands import Pupil
from millimark.rehearsal.misconceptions import possible
from millimark.rehearsal.pencil import Sketch
from millimark.rehearsal.pointing import asked_points, leading
from millimark.rehearsal.preferring import Order, preferences, preferred
from millimark.rehearsal.pricks import prick
from millimark.rehearsal.setting import Setting, set_out
from millimark.rehearsal.truth import pupil_truth, question_truth
from millimark.rehearsal.wear import wear_out
from millimark.sheet.layout import PageMap, QuestionPlace, SheetMap

PHONE_PX_PER_MM = 20.0
"""Fineness of the picture that is photographed, px to the page mm."""


@dataclass(frozen=True)
class Conditions:
    """How a rehearsal is run. ``fault_rate`` is the chance of a fault in an answer;
    ``upside_down`` the share of pages that lie the wrong way round, ``wear`` the share
    that is folded, smudged, punched, stained or creased."""

    seed: int
    capture: str
    form: str
    upside_down: float
    fault_rate: float
    tone: str = "grey"
    wear: float = 0.0


@dataclass(frozen=True)
class SheetJob:
    """One sheet to draw: ``number`` from 0; ``planned`` faults by question, where they are
    not left to chance; ``names`` the files' names without suffix, one for each page; ``dpi``
    the scanner's resolution."""

    number: int
    sheet: SheetMap
    pupil: Pupil
    print_scale: float
    planned: Mapping[str, Sequence[Fault]]
    names: Sequence[str]
    dpi: float


@dataclass(frozen=True)
class Shared:
    """What all sheets of a rehearsal have in common."""

    paper: Paper
    pdf: Path
    scans: Path
    conditions: Conditions


_settings: dict[tuple[Any, ...], tuple[Paper, Setting]] = {}
"""Settings with the paper that they belong to: while it is kept, its id is its own."""
_preferences: dict[tuple[int, tuple[Order, ...]], tuple[Setting, Setting]] = {}
_possible: dict[int, tuple[Setting, dict[str, tuple[str, ...]]]] = {}
MOST_SETTINGS = 500


def run(shared: Shared, job: SheetJob) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Draw and scan a sheet: its truth, and the line of each of its scans."""
    import cv2

    cv2.setNumThreads(1)
    pages, scans = [], []
    for page, name in zip(job.sheet.pages, job.names, strict=True):
        truth, sketches = _drawn(shared, job, page)
        scans.append(_scanned(shared, job, page, sketches, name))
        pages.append({"page": page.page, "questions": truth})
    sheet = {
        "sheet": job.sheet.sheet,
        "pupil": pupil_truth(job.pupil),
        "print_scale": job.print_scale,
        "pages": pages,
    }
    return sheet, scans


def _drawn(
    shared: Shared, job: SheetJob, page: PageMap
) -> tuple[list[dict[str, Any]], list[Sketch]]:
    """The truth of each question on a page, and what was drawn for it (paper mm)."""
    truth: list[dict[str, Any]] = []
    sketches: list[Sketch] = []
    paper = paper_for_sheet(shared.paper, job.sheet)
    questions = {q.number: q for q in paper.questions}
    order = list(questions)
    for place in page.questions:
        number = place.question
        rng = np.random.default_rng([shared.conditions.seed, 1, job.number, order.index(number)])
        setting = _setting(paper, questions[number], place, job.print_scale)
        taste = np.random.default_rng([shared.conditions.seed, 6, job.number, order.index(number)])
        setting = _preferred(setting, preferences(setting, taste))
        faults = job.planned.get(number)
        if faults is None:
            only_lead = leading(setting)
            judged = [e for e in setting.elements if e.name not in only_lead]
            faults = choose(
                judged,
                setting.region is not None,
                rng,
                shared.conditions.fault_rate,
                setting.working.steps,
                _mistakes(setting),
                tuple(asked_points(setting)),
            )
            faults = (*faults, *misread_ruler(job.pupil, judged, faults))
        done = answer(setting, job.pupil, faults, rng)
        truth.append(question_truth(setting, done, job.print_scale))
        sketches.append(done.sketch)
    return truth, sketches


def _preferred(setting: Setting, orders: tuple[Order, ...]) -> Setting:
    """The setting with the lines that a pupil prefers, planned once in a process."""
    if not any(orders):
        return setting
    key = (id(setting), orders)
    if key not in _preferences:
        if len(_preferences) >= MOST_SETTINGS:
            _preferences.clear()
        _preferences[key] = (setting, preferred(setting, orders))
    return _preferences[key][1]


def _mistakes(setting: Setting) -> dict[str, tuple[str, ...]]:
    """The misconceptions of a setting, found once in a process."""
    key = id(setting)
    if key not in _possible:
        if len(_possible) >= MOST_SETTINGS:
            _possible.clear()
        _possible[key] = (setting, possible(setting))
    return _possible[key][1]


def _setting(paper: Paper, question: Question, place: QuestionPlace, scale: float) -> Setting:
    """Settings are the same on every sheet with the same values: planned once in a process."""
    key = (id(paper), question.number, place.frame_mm, place.origin_mm, place.turn_deg,
           place.mirror, place.mm_per_cm, scale)  # fmt: skip
    if key not in _settings:
        if len(_settings) >= MOST_SETTINGS:
            _settings.clear()
        _settings[key] = (paper, set_out(paper, question, place, scale))
    return _settings[key][1]


def _scanned(
    shared: Shared,
    job: SheetJob,
    page: PageMap,
    sketches: Sequence[Sketch],
    name: str,
) -> dict[str, Any]:
    """Render, scan and write one page; its line in truth.json."""
    how = shared.conditions
    rng = np.random.default_rng([how.seed, 2, job.number, page.page])
    device = choose_device(how.capture, how.tone, job.dpi, how.upside_down, rng)
    px_per_mm = PHONE_PX_PER_MM
    if device.capture != "phone":
        px_per_mm = float(np.clip(1.7 * job.dpi / MM_PER_INCH, 14.0, 24.0))
    picture = printed(pdf_page(shared.pdf, page.pdf_page, px_per_mm))
    blank = picture.copy()
    for area in (s.shading for s in sketches):
        if area is not None and area.tone:
            smear(picture, area, job.print_scale, px_per_mm, rng)
    strokes = [stroke for s in sketches for stroke in s.strokes]
    draw(picture, strokes, job.print_scale, px_per_mm, rng)
    holes = [hole for s in sketches for hole in s.holes]
    light = np.random.default_rng([how.seed, 7, job.number, page.page])
    prick(picture, holes, job.print_scale, px_per_mm, device.capture, light)
    worn = wear_out(picture, blank, px_per_mm, rng) if rng.random() < how.wear else []
    size = (page.width_mm, page.height_mm)
    capture = take(device, picture, px_per_mm, size, job.print_scale, rng)
    form = _form(how.form, device, rng)
    states = None if device.capture == "phone" else job.dpi
    file = shared.scans / f"{name}{SUFFIX[form]}"
    file.write_bytes(encoded(capture.image, form, states, rng))
    return {
        "file": file.name,
        "source_page": 1,
        "sheet": job.sheet.sheet,
        "page": page.page,
        "capture": device.capture,
        "tone": device.tone,
        "dpi": states,
        "upside_down": device.upside_down,
        "worn": worn,
        "print_scale": job.print_scale,
        **_maps(capture),
    }


def _form(wished: str, device: Device, rng: np.random.Generator) -> str:
    """The kind of file: photographs are JPEGs, bilevel scans fax-packed TIFFs."""
    if device.capture == "phone":
        return "jpeg"
    if device.tone == "bilevel" and wished != "png":
        return "tiff"
    if wished in ("mixed", "bundles"):
        return str(rng.choice(["jpeg", "png", "tiff", "pdf"], p=[0.6, 0.15, 0.1, 0.15]))
    return wished if wished in SUFFIX else "jpeg"


def _maps(capture: Capture) -> dict[str, Any]:
    """``to_image``: the matrix from page mm to pixels, or ``grid``: rows of page x, y and
    pixel x, y."""
    if capture.to_image is not None:
        return {"to_image": [[float(v) for v in row] for row in capture.to_image], "grid": None}
    grid = capture.grid if capture.grid is not None else np.empty((0, 4))
    return {"to_image": None, "grid": np.round(grid, 3).tolist()}
