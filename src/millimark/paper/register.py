"""The register page: which sheet is whose, with boxes to tick as papers go out and come in."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.paper.answer_pages import flow
from millimark.paper.question_pages import PaperPlan
from millimark.paper.typeface import unprintable
from millimark.paper.typesetting import typeset
from millimark.sheet.layout import SheetMap


def typeset_register(plans: Sequence[PaperPlan], sheets: Sequence[SheetMap]) -> bytes:
    """The PDF of the register: one line for each sheet."""
    plan = plans[0]
    questions = plan.paper.questions
    data = {
        **flow(plan, "Register"),
        "code": f"Paper {plan.paper_id}",
        "intro": [
            "Compasses have sharp points: count them out and in; the school's own rules decide. "
            "This page holds pupils' names: keep it as the school's data-protection policy says."
        ],
        "columns": [f"{q.number} [{q.marks}]" for q in questions],
        "total": f"of {sum(q.marks for q in questions)}",
        "rows": [{"sheet": s.sheet, "pupil": _name(s)} for s in sheets],
    }
    return typeset("register", data, {})


def _name(sheet: SheetMap) -> str:
    name = " ".join((sheet.pupil or "").split())
    return "(to be written in)" if unprintable(name) is not None else name
