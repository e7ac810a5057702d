"""layout.json as values, with reading and writing (its JSON Schema: ``schemas/layout.json``).

Page millimetres from the top-left corner, x right, y down, at the size in the PDF.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class RegistrationMark:
    """A square border mark: its dictionary id, centre and side, mm."""

    id: int
    x: float
    y: float
    side: float


@dataclass(frozen=True)
class Dot:
    """A faint printed registration dot: centre and diameter, mm."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True)
class CodeBox:
    """A printed page code: its text and its square [x0, y0, x1, y1], mm, quiet zone included."""

    text: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class QuestionPlace:
    """Where a question's drawing stands on a page.

    ``frame_mm`` is the answer frame (x0, y0, x1, y1); ``points`` every labelled printed
    point; ``mm_per_cm`` page mm per cm of the words; ``turn_deg``/``mirror`` how the
    figure was turned onto the page (see ``plane.similarity.page_frame``).
    """

    question: str
    frame_mm: tuple[float, float, float, float]
    mm_per_cm: float
    points: Mapping[str, tuple[float, float]]
    origin_mm: tuple[float, float]
    turn_deg: float = 0.0
    mirror: bool = False


@dataclass(frozen=True)
class PageMap:
    """One printed page: number within its sheet (from 1), page of the PDF (from 1), size."""

    page: int
    pdf_page: int
    width_mm: float
    height_mm: float
    questions: tuple[QuestionPlace, ...]
    marks: tuple[RegistrationMark, ...]
    dots: tuple[Dot, ...]
    codes: tuple[CodeBox, ...]


@dataclass(frozen=True)
class SheetMap:
    """One pupil's sheet: its code ("S0001"), the pupil's name or number or None, its pages."""

    sheet: str
    pupil: str | None
    pages: tuple[PageMap, ...]


@dataclass(frozen=True)
class Layout:
    """All of layout.json. ``paper`` is the paper file's content as plain data, enough to
    read the questions again; ``paper_id`` is the short code printed on every page."""

    paper: Mapping[str, Any]
    paper_id: str
    sheets: tuple[SheetMap, ...]
