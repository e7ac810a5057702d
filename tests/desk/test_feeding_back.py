"""The class grid, faults with pictures, the sheet to teach them again, feedback sheets."""

from __future__ import annotations

import io
import re

import pikepdf
import pytest
from sqlalchemy import select
from sqlalchemy.orm.attributes import flag_modified
from tests.desk.conftest import BOTH, PUPILS, Marked

from millimark.desk.class_grid import ordered, share
from millimark.paper.fields import load
from millimark.paper.reading import PaperSource
from millimark.records import papers, scripts
from millimark.records.models import Script

RUN = "/printings/1"


@pytest.fixture
def faulty(marked: Marked) -> Marked:
    """The same class, where two answers to the first question show no arcs and one is turned."""
    found = {"fault": "no-arcs", "text": "There are no construction arcs.", "size_mm": None}
    turned = {"fault": "line-turned", "text": "The line is turned by 9.0°.", "size_mm": 6.0}
    with marked.store.writing() as session:
        for page_id, faults in ((1, [found]), (2, [found, turned])):
            page = scripts.page_of(session, page_id)
            page.questions[0]["faults"] = faults
            flag_modified(page, "questions")
            for answer in page.script.answers if page.script else []:
                for mark in answer.marks if answer.question == "1" else []:
                    mark.decision = "withheld"
    return marked


def rows_of(text: str) -> list[str]:
    """The pupils of the grid from the top."""
    body = text.split("<tbody>")[1].split("</tbody>")[0]
    return re.findall(r'<th scope="row"><a href="/pupils/(\d)">', body)


def test_the_grid_is_sorted_as_asked_and_says_who_is_missing(marked: Marked) -> None:
    with marked.store.writing() as session:
        lost = scripts.script_of(session, 3)
        for answer in lost.answers:
            session.delete(answer)
    text = marked.client.get(f"{RUN}/grid").text
    assert "2 of 3 sheets are marked. Not among the scans: Pia Finch." in text
    assert rows_of(text) == ["2", "1", "3"]  # by name; who is missing comes last
    assert 'aria-sort="ascending"' in text
    with marked.store.reading() as session:
        found = scripts.grid(session, 1)
    totals = {row.sheet: row.awarded for row in found.rows if row.cells}
    for asked, down in (("total", False), ("-total", True), ("q1", False), ("-q2", True)):
        rows, columns = ordered(found, asked)
        seen = [r for r in rows if r.cells]
        values = [
            r.awarded if "total" in asked else r.cells[asked.lstrip("-q")].awarded for r in seen
        ]
        assert values == sorted(values, reverse=down)
        assert rows[-1].pupil == "Pia Finch"
        (by,) = [c for c in columns if c.sorted]
        assert by.sorted == ("descending" if down else "ascending")
    assert share([r for r in found.rows if r.cells], None).awarded == sum(totals.values())
    assert share([], "1").percent is None
    assert marked.client.get(f"{RUN}/grid?sort=%3Cscript%3E").status_code == 200


def test_faults_are_shown_with_pictures_and_without_names(faulty: Marked) -> None:
    text = faulty.client.get(f"{RUN}/feedback").text
    first, second = re.findall(r'<h3 id="f-\d">(.*?) <span class="small">(.*?)</span>', text)[:2]
    assert first == ("No construction arcs", "2 answers")
    assert second == ("A line in the wrong direction", "1 answer")
    assert text.count('<image href="/pages/') == len(re.findall('<h3 id="f-', text))
    for name in PUPILS:
        assert name.replace("<b>", "&lt;b&gt;").replace("</b>", "&lt;/b&gt;") not in text


def test_an_answer_with_all_its_marks_shows_no_fault(faulty: Marked) -> None:
    """A person who awards the marks overrules the likely cause too: for class and pupil."""
    with faulty.store.reading() as session:
        (turned,) = [s.pupil_id for s in session.scalars(select(Script)) if s.pages[0].id == 2]
    assert "turned by 9.0°" in faulty.client.get(f"/pupils/{turned}").text
    with faulty.store.writing() as session:
        page = scripts.page_of(session, 2)
        for answer in page.script.answers if page.script else []:
            for mark in answer.marks:
                mark.decision = "awarded"
    assert "turned by 9.0°" not in faulty.client.get(f"/pupils/{turned}").text
    text = faulty.client.get(f"{RUN}/feedback").text
    assert "No construction arcs <span" in text
    assert "A line in the wrong direction" not in text
    assert "A line in the wrong direction" not in faulty.client.get(f"{RUN}/reteach").text


@BOTH
def test_a_sheet_to_teach_it_again_is_made_from_what_went_wrong(faulty: Marked) -> None:
    text = faulty.client.get(f"{RUN}/reteach").text
    picked = re.findall(r'<input type="checkbox" name="([a-z0-9-]+)" value="yes" checked>', text)
    assert len(picked) >= 2
    assert "Against: No construction arcs (2 answers)" in text
    form = {"title": "Arcs once more", picked[0]: "yes", picked[1]: "yes"}
    made = faulty.client.post(f"{RUN}/reteach", data=form)
    assert made.url.path == "/papers/2/questions/1"
    with faulty.store.reading() as session:
        version = papers.version_of(session, 2)
    paper = PaperSource(load(version.text, None)).paper()
    assert (paper.title, len(paper.questions)) == ("Arcs once more", 2)
    advice = ("Remember: leave the arcs on the", "Remember: make the two crossings lie")
    assert all(any(q.story.startswith(a) for a in advice) for q in paper.questions)
    assert faulty.client.post(f"{RUN}/reteach", data={"title": "x"}).status_code == 400


def test_feedback_sheets_for_the_class_and_for_one_pupil(marked: Marked) -> None:
    whole = marked.client.get(f"{RUN}/exports/feedback.pdf")
    assert whole.headers["content-disposition"] == 'attachment; filename="feedback.pdf"'
    one = marked.client.get("/scripts/1/feedback")
    with pikepdf.open(io.BytesIO(whole.content)) as pdf, pikepdf.open(io.BytesIO(one.content)) as p:
        assert len(pdf.pages) > len(p.pages) >= 1
    assert marked.client.get("/scripts/99/feedback").status_code == 404


def test_without_scripts_there_is_nothing_to_feed_back(marked: Marked) -> None:
    with marked.store.writing() as session:
        for k in (1, 2, 3):
            session.delete(scripts.script_of(session, k))
    assert "No script is marked yet" in marked.client.get(f"{RUN}/feedback").text
    assert "No fault was seen" in marked.client.get(f"{RUN}/reteach").text
    assert marked.client.get(f"{RUN}/exports/feedback.pdf").status_code == 400
    assert marked.client.get(f"{RUN}/exports/marks.docx").status_code == 404
