"""Print runs: a version of a paper on sheets for a class, or on blank ones."""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer

from millimark.errors import RecordsError
from millimark.paper.fields import load
from millimark.paper.printing import FOR_THE_TEACHER, QUESTION_PAPER, print_paper
from millimark.paper.reading import ACCESS, PaperSource
from millimark.records import classes
from millimark.records.models import PaperVersion, Printing, Pupil, Script
from millimark.records.store import Store
from millimark.sheet.layout import Layout, SheetMap, as_json, from_json, write_layout

Progress = Callable[[int, int, str], None] | None
MOST_SHEETS = 500
LAYOUT = "layout.json"
REGISTER = "register.pdf"


def all_printings(session: Session) -> Sequence[Printing]:
    """Every print run, the newest first."""
    return session.scalars(select(Printing).order_by(Printing.id.desc())).all()


def printing_of(session: Session, printing_id: int) -> Printing:
    """The print run; RecordsError if there is none of this id."""
    found = session.get(Printing, printing_id)
    if found is None:
        raise RecordsError(f"There is no print run {printing_id}.", "It may have been deleted.")
    return found


def print_for(
    store: Store,
    version_id: int,
    class_id: int | None = None,
    sheets: int = 0,
    access: dict[str, Any] | None = None,
    progress: Progress = None,
    wanted: Iterable[str] = tuple(FOR_THE_TEACHER),
    looks: Mapping[int, Mapping[str, str]] | None = None,
) -> int:
    """Print a version for a class, with ``sheets`` blank ones besides; the run's id comes back.

    Without a class there are ``sheets`` blank ones (at least 1). ``access`` takes the place of
    the paper file's own; ``wanted`` names what is printed besides the question paper;
    ``looks`` says by pupil's id how their own sheet is set, where that is otherwise.
    PaperError, WordsError … if the text cannot be printed. The PDFs and layout.json lie in
    ``store.printing_folder(printing.folder)``.
    """
    with store.reading() as session:
        version = session.get(PaperVersion, version_id)
        if version is None:
            raise RecordsError(f"There is no version {version_id} of any paper.")
        pupils: list[Pupil] = []
        if class_id is not None:
            pupils = list(classes.class_of(session, class_id).pupils)
        names: list[str | None] = [p.label for p in pupils]
        owners: list[int | None] = [p.id for p in pupils]
        text, title = version.text, version.paper.title
    blank = max(sheets, 0 if names else 1)
    if not 1 <= len(names) + blank <= MOST_SHEETS:
        raise RecordsError(
            f"{len(names) + blank} sheets cannot be printed at once.",
            f"A print run has 1 to {MOST_SHEETS} sheets.",
        )
    data = load(text, f"paper {title}".strip())
    if access is not None:
        data = load(json.dumps({**_plain(data.value), "access": access}), "the paper")
    paper = PaperSource(data).paper()
    token = secrets.token_hex(12)
    folder = store.printing_folder(token)
    try:
        own = [(looks or {}).get(owner) for owner in owners if owner is not None]
        layout = print_paper(paper, folder, [*names, *[None] * blank], progress, wanted, own)
        with store.writing() as session:
            printing = _printing(version_id, class_id, paper.title, token, layout)
            session.add(printing)
            session.flush()
            for sheet, owner in zip(layout.sheets, [*owners, *[None] * blank], strict=True):
                session.add(Script(printing_id=printing.id, sheet=sheet.sheet, pupil_id=owner))
            return printing.id
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def looks_of_class(session: Session, class_id: int) -> dict[int, dict[str, str]]:
    """By pupil's id how their sheet of the class's last print run was set, where that was
    otherwise than its paper says."""
    last = session.scalar(
        select(Printing.id).where(Printing.class_id == class_id).order_by(Printing.id.desc())
    )
    if last is None:
        return {}
    looks = {s.sheet: s.choices.get(ACCESS) for s in layout_of(session, last).sheets}
    scripts = session.scalars(select(Script).where(Script.printing_id == last)).all()
    return {
        script.pupil_id: dict(look)
        for script in scripts
        if script.pupil_id is not None and (look := looks.get(script.sheet))
    }


def _plain(value: Any) -> dict[str, Any]:
    from millimark.paper.fields import plain

    found = plain(value)
    return dict(found) if isinstance(found, dict) else {}


def _printing(
    version_id: int, class_id: int | None, title: str, token: str, layout: Layout
) -> Printing:
    return Printing(
        version_id=version_id,
        class_id=class_id,
        title=title[:200],
        sheets=len(layout.sheets),
        paper_code=layout.paper_id,
        folder=token,
        layout=as_json(layout),
    )


def layout_of(session: Session, printing_id: int) -> Layout:
    """The sheet map of a print run."""
    found = session.get(
        Printing, printing_id, options=[undefer(Printing.layout)], populate_existing=True
    )
    if found is None:
        raise RecordsError(f"There is no print run {printing_id}.", "It may have been deleted.")
    return from_json(found.layout)


def layout_file(store: Store, session: Session, printing_id: int) -> Path:
    """layout.json as a file for marking; written again from the records if it is not there."""
    printing = printing_of(session, printing_id)
    place = store.printing_folder(printing.folder) / LAYOUT
    if not place.is_file():
        place.parent.mkdir(parents=True, exist_ok=True)
        part = place.with_name(f".{secrets.token_hex(6)}")
        write_layout(layout_of(session, printing_id), part)
        part.replace(place)
    return place


def keep_layout(store: Store, session: Session, printing_id: int, layout: Layout) -> None:
    """Put another sheet map in place of a print run's: in the records, and no longer in the
    folder, where `layout_file` writes it again."""
    printing = printing_of(session, printing_id)
    printing.layout, printing.sheets = as_json(layout), len(layout.sheets)
    (store.printing_folder(printing.folder) / LAYOUT).unlink(missing_ok=True)
    session.flush()


def question_paper_again(store: Store, printing_id: int) -> Path:
    """Typeset question-paper.pdf and register.pdf anew from the records, for example after a
    pupil's sheet was deleted. Pages already printed are still read by the same layout."""
    from millimark.paper.editions import plans_of_sheets
    from millimark.paper.question_pages import typeset_sheets
    from millimark.paper.register import typeset_register

    with store.reading() as session:
        layout = layout_of(session, printing_id)
        folder = store.printing_folder(printing_of(session, printing_id).folder)
    sheets = _numbered(layout.sheets)
    if not sheets:
        raise RecordsError("No sheet of this print run is left.", "Print the paper again.")
    plans = plans_of_sheets(layout.paper, layout.paper_id, sheets)
    pdf = typeset_sheets(plans, sheets)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / REGISTER).write_bytes(typeset_register(plans, sheets))
    (folder / QUESTION_PAPER).write_bytes(pdf)
    with store.writing() as session:
        fresh = replace(layout, sheets=sheets, pdf_sha256=hashlib.sha256(pdf).hexdigest())
        keep_layout(store, session, printing_id, fresh)
        layout_file(store, session, printing_id)
    return folder / QUESTION_PAPER


def _numbered(sheets: Sequence[SheetMap]) -> tuple[SheetMap, ...]:
    """The same sheets, their pages numbered through from 1."""
    number = count(1)
    return tuple(
        replace(s, pages=tuple(replace(p, pdf_page=next(number)) for p in s.pages)) for s in sheets
    )


def files_of(store: Store, session: Session, printing_id: int) -> dict[str, Path]:
    """The PDFs of a print run by their plain names ("question-paper.pdf"), as they exist now."""
    folder = store.printing_folder(printing_of(session, printing_id).folder)
    return {file.name: file for file in sorted(folder.glob("*.pdf"))} if folder.is_dir() else {}


def assign(store: Store, session: Session, script_id: int, pupil_id: int | None) -> Script:
    """Say whose a sheet is (None: nobody's). RecordsError if the pupil has one already.

    A name that was printed on the sheet is forgotten: it was another's.
    """
    script = session.get(Script, script_id)
    if script is None:
        raise RecordsError(f"There is no script {script_id}.", "It may have been deleted.")
    if pupil_id is not None:
        pupil = classes.pupil_of(session, pupil_id)
        other = session.scalar(
            select(Script).where(
                Script.printing_id == script.printing_id,
                Script.pupil_id == pupil_id,
                Script.id != script_id,
            )
        )
        if other is not None:
            raise RecordsError(
                f"{pupil.label} has sheet {other.sheet} of this print run already.",
                "Take that sheet from them first.",
            )
    if script.pupil_id != pupil_id:
        layout = layout_of(session, script.printing_id)
        sheets = tuple(
            replace(s, pupil=None) if s.sheet == script.sheet else s for s in layout.sheets
        )
        keep_layout(store, session, script.printing_id, replace(layout, sheets=sheets))
    script.pupil_id = pupil_id
    session.flush()
    session.expire(script, ["pupil"])
    return script
