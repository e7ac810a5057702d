"""layout.json as values, with reading and writing (its JSON Schema: ``schemas/layout.json``).

Page millimetres from the top-left corner, x right, y down, at the size in the PDF.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from typing import Any

from millimark.errors import SourceError


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
    figure was turned onto the page (see ``plane.similarity.page_frame``); ``answer_lines``
    where readings are written (x0, y0, x1, y1), in the order of the asks that want them.
    """

    question: str
    frame_mm: tuple[float, float, float, float]
    mm_per_cm: float
    points: Mapping[str, tuple[float, float]]
    origin_mm: tuple[float, float]
    turn_deg: float = 0.0
    mirror: bool = False
    answer_lines: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True)
class PageMap:
    """One printed page: number within its sheet (from 1), page of the PDF (from 1), size.

    ``dots`` holds the border's dots and the pale ones inside the answer frames;
    ``check_rule`` runs from (x0, y0) to (x1, y1), 100 mm apart, or is None.
    """

    page: int
    pdf_page: int
    width_mm: float
    height_mm: float
    questions: tuple[QuestionPlace, ...]
    marks: tuple[RegistrationMark, ...]
    dots: tuple[Dot, ...]
    codes: tuple[CodeBox, ...]
    check_rule: tuple[float, float, float, float] | None = None


@dataclass(frozen=True)
class SheetMap:
    """One pupil's sheet: its code ("S0001"), the pupil's name or number or None, its pages.

    ``choices``: by question number, the values that this sheet has of its own.
    """

    sheet: str
    pupil: str | None
    pages: tuple[PageMap, ...]
    choices: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Layout:
    """All of layout.json. ``paper`` is the paper file's content as plain data, enough to
    read the questions again; ``paper_id`` is the short code printed on every page;
    ``pdf_sha256`` the SHA-256 of question-paper.pdf, "" if none was written."""

    paper: Mapping[str, Any]
    paper_id: str
    sheets: tuple[SheetMap, ...]
    pdf_sha256: str = ""


FORMAT = "millimark-layout"
VERSION = 1


def as_json(layout: Layout) -> dict[str, Any]:
    """The object that layout.json holds."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "paper": layout.paper,
        "paper_id": layout.paper_id,
        "pdf_sha256": layout.pdf_sha256,
        "sheets": [
            {
                "sheet": s.sheet,
                "pupil": s.pupil,
                "choices": {number: dict(values) for number, values in s.choices.items()},
                "pages": [_page_json(p) for p in s.pages],
            }
            for s in layout.sheets
        ],
    }


def from_json(data: Mapping[str, Any]) -> Layout:
    """The layout that ``as_json`` wrote. KeyError or TypeError if ``data`` breaks the schema."""
    return Layout(
        paper=data["paper"],
        paper_id=data["paper_id"],
        pdf_sha256=data["pdf_sha256"],
        sheets=tuple(
            SheetMap(
                s["sheet"],
                s["pupil"],
                tuple(_page_value(p) for p in s["pages"]),
                s.get("choices", {}),
            )
            for s in data["sheets"]
        ),
    )


def write_layout(layout: Layout, path: Path) -> None:
    """Write layout.json: stable order of keys, one page map per line of reading."""
    text = json.dumps(as_json(layout), ensure_ascii=False, indent=1)
    path.write_text(text + "\n", encoding="utf-8")


def read_layout(path: Path) -> Layout:
    """Read layout.json. SourceError names a file that is missing, broken or of another kind."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise SourceError(
            f"The sheet map {path} cannot be read: {_plain(error)}.",
            "Give the layout.json that `millimark print` wrote beside the question paper.",
        ) from error
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise SourceError(
            f"The sheet map {path} is not JSON: {error.msg} at line {error.lineno}.",
            "It may be cut short; print the paper again or copy the file again.",
        ) from error
    except RecursionError as error:
        raise SourceError(
            f"The sheet map {path} is nested too deeply to be one.",
            "Give the layout.json that `millimark print` wrote beside the question paper.",
        ) from error
    _check(data, path)
    return from_json(data)


def _check(data: Any, path: Path) -> None:
    """Raise SourceError at the first thing in ``data`` that breaks the published schema."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise SourceError(
            f"{path} is not a sheet map: its format is not {FORMAT!r}.",
            "Give the layout.json that `millimark print` wrote.",
        )
    if data.get("version") != VERSION:
        raise SourceError(
            f"{path} is a sheet map of version {data.get('version')!r}; this one reads {VERSION}.",
            "Use the version of Millimark that printed the paper.",
        )
    from jsonschema import Draft202012Validator

    schema = json.loads(_schema_text())
    for error in Draft202012Validator(schema).iter_errors(data):
        place = "/".join(str(p) for p in error.absolute_path) or "the top"
        raise SourceError(
            f"The sheet map {path} is damaged at {place}: {error.message[:200]}.",
            "Print the paper again, or copy layout.json again.",
        )


def _schema_text() -> str:
    return (resources.files("millimark") / "schemas" / "layout.json").read_text("utf-8")


def _plain(error: Exception) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    if isinstance(error, IsADirectoryError):
        return "it is a folder"
    return str(error)


def _page_json(page: PageMap) -> dict[str, Any]:
    return {
        "page": page.page,
        "pdf_page": page.pdf_page,
        "width_mm": page.width_mm,
        "height_mm": page.height_mm,
        "questions": [_question_json(q) for q in page.questions],
        "marks": [{"id": m.id, "x": m.x, "y": m.y, "side": m.side} for m in page.marks],
        "dots": [[d.x, d.y, d.diameter] for d in page.dots],
        "codes": [{"text": c.text, "box": list(c.box)} for c in page.codes],
        "check_rule": None if page.check_rule is None else list(page.check_rule),
    }


def _question_json(place: QuestionPlace) -> dict[str, Any]:
    return {
        "question": place.question,
        "frame_mm": list(place.frame_mm),
        "mm_per_cm": place.mm_per_cm,
        "points": {name: list(xy) for name, xy in place.points.items()},
        "origin_mm": list(place.origin_mm),
        "turn_deg": place.turn_deg,
        "mirror": place.mirror,
        "answer_lines": [list(box) for box in place.answer_lines],
    }


def _page_value(data: Mapping[str, Any]) -> PageMap:
    rule = data["check_rule"]
    return PageMap(
        page=data["page"],
        pdf_page=data["pdf_page"],
        width_mm=data["width_mm"],
        height_mm=data["height_mm"],
        questions=tuple(_question_value(q) for q in data["questions"]),
        marks=tuple(RegistrationMark(m["id"], m["x"], m["y"], m["side"]) for m in data["marks"]),
        dots=tuple(Dot(x, y, d) for x, y, d in data["dots"]),
        codes=tuple(CodeBox(c["text"], _four(c["box"])) for c in data["codes"]),
        check_rule=None if rule is None else _four(rule),
    )


def _question_value(data: Mapping[str, Any]) -> QuestionPlace:
    x, y = data["origin_mm"]
    return QuestionPlace(
        question=data["question"],
        frame_mm=_four(data["frame_mm"]),
        mm_per_cm=data["mm_per_cm"],
        points={name: (p[0], p[1]) for name, p in data["points"].items()},
        origin_mm=(x, y),
        turn_deg=data["turn_deg"],
        mirror=data["mirror"],
        answer_lines=tuple(_four(box) for box in data.get("answer_lines", ())),
    )


def _four(values: Sequence[float]) -> tuple[float, float, float, float]:
    a, b, c, d = values
    return (a, b, c, d)
