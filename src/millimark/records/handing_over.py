"""Everything of one pupil, or of all, as a zip of JSON and pictures that any program can read."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer

from millimark.records.classes import pupil_of
from millimark.records.mark_tables import Mark
from millimark.records.models import Answer, Page, Paper, Pupil, Script, TeachingClass
from millimark.records.store import Store

FORMAT = "millimark-export"
VERSION = 1


def export_pupil(store: Store, pupil_id: int, target: Path) -> None:
    """Write everything of one pupil into the zip ``target``."""
    with store.reading() as session, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        pupil = pupil_of(session, pupil_id)
        _head(out, [pupil_id])
        _pupil(session, out, pupil)


def export_all(store: Store, target: Path) -> None:
    """Write everything of all pupils, sheets that are nobody's, and all papers' versions."""
    with store.reading() as session, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        pupils = session.scalars(
            select(Pupil.id).join(TeachingClass).order_by(TeachingClass.name, Pupil.position)
        ).all()
        _head(out, pupils)
        for pupil_id in pupils:
            _pupil(session, out, pupil_of(session, pupil_id))
            session.expunge_all()  # pictures of a whole school do not fit the memory
        nobody = select(Script.id).where(Script.pupil_id.is_(None)).order_by(Script.id)
        for script_id in session.scalars(nobody).all():
            script = session.get_one(Script, script_id)
            if script.pages:
                place = f"sheets/{script.printing_id}-{script.sheet}"
                _json(out, f"{place}/script.json", _script(session, out, place, script))
            session.expunge_all()
        for paper in session.scalars(select(Paper)).all():
            for version in paper.versions:
                out.writestr(f"papers/{paper.id}/version-{version.number}.yaml", version.text)


def _head(out: zipfile.ZipFile, pupils: Sequence[int]) -> None:
    _json(out, "export.json", {"format": FORMAT, "version": VERSION, "pupils": list(pupils)})


def _pupil(session: Session, out: zipfile.ZipFile, pupil: Pupil) -> None:
    place = f"pupils/{pupil.id}"
    scripts = session.scalars(
        select(Script).where(Script.pupil_id == pupil.id).order_by(Script.printing_id)
    ).all()
    data = {
        "class": pupil.teaching_class.name,
        "number": pupil.number,
        "name": pupil.name,
        "oneroster": pupil.sourced_id,
        "entered": pupil.made_at.isoformat(),
        "scripts": [_script(session, out, place, s) for s in scripts],
    }
    _json(out, f"{place}/pupil.json", data)


def _script(session: Session, out: zipfile.ZipFile, place: str, script: Script) -> dict[str, Any]:
    pages = session.scalars(
        select(Page)
        .where(Page.script_id == script.id)
        .order_by(Page.page, Page.id)
        .options(
            undefer(Page.questions),
            undefer(Page.picture),
            undefer(Page.overlay),
            undefer(Page.notes),
        )
    ).all()
    return {
        "paper": script.printing.title,
        "printed": script.printing.made_at.isoformat(),
        "sheet": script.sheet,
        "answers": [_answer(a) for a in script.answers],
        "pages": [_page(out, f"{place}/{script.printing_id}-{script.sheet}", p) for p in pages],
    }


def _answer(answer: Answer) -> dict[str, Any]:
    return {"question": answer.question, "marks": [_mark(m) for m in answer.marks]}


def _mark(mark: Mark) -> dict[str, Any]:
    return {
        "code": mark.code,
        "criterion": mark.criterion,
        "decision": mark.decision,
        "measured": mark.machine,
        "reason": mark.reason,
        "follow_through": mark.follow_through,
        "changes": [
            {
                "from": c.before,
                "to": c.after,
                "who": c.who,
                "when": c.at.isoformat(),
                "why": c.why,
            }
            for c in mark.changes
        ],
        "opinions": [
            {
                "who": o.marker,
                "decision": o.decision,
                "why": o.why,
                "when": o.at.isoformat(),
                "stood_unseen": o.stood,
            }
            for o in mark.opinions
        ],
    }


def _page(out: zipfile.ZipFile, stem: str, page: Page) -> dict[str, Any]:
    files = {}
    for kind, ending, content in (
        ("picture", "jpg", page.picture),
        ("overlay", "overlay.svg", page.overlay),
        ("notes", "notes.svg", page.notes),
    ):
        if content:
            files[kind] = f"{stem}-page-{page.page}-scan-{page.id}.{ending}"
            out.writestr(files[kind], content)
    return {
        "page": page.page,
        "counts": page.state == "read",
        "scan": page.upload.name,
        "scan_page": page.source_page,
        "marked": page.done_at.isoformat(),
        "print_scale": page.print_scale,
        "registration_mm": page.registration_mm,
        "files": files,
        "findings": page.questions,
    }


def _json(out: zipfile.ZipFile, name: str, data: Any) -> None:
    out.writestr(name, json.dumps(data, ensure_ascii=False, indent=1) + "\n")
