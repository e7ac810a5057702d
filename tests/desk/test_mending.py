"""Pages that could not be read, mended at the desk: looked at, named, taken anew, set aside."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient
from tests.desk.conftest import BOTH, PAPER, idle, mark_here

from millimark.paper.raster import pdf_page
from millimark.records import papers, printings, uploads
from millimark.records.store import Store

PER_MM = 4.0


@dataclass(frozen=True)
class Smudged:
    """A desk whose print run 1 has one page, lying on its side, without a code."""

    client: TestClient
    store: Store

    def run(self) -> str:
        """The print run's page once everything is marked."""
        mark_here(self.store)
        return self.client.get("/printings/1").text

    def place(self) -> str:
        found = re.search(r"/printings/1/mend/\d+", self.run())
        assert found is not None
        return found.group(0)


def page(store: Store, number: int, codes: bool) -> bytes:
    """A page of the question paper as a PNG, lying on its left side."""
    with store.reading() as session:
        file = printings.files_of(store, session, 1)["question-paper.pdf"]
        layout = printings.layout_of(session, 1)
    grey = pdf_page(file, number, PER_MM)
    for code in () if codes else [p for s in layout.sheets for p in s.pages][number - 1].codes:
        x0, y0, x1, y1 = (round(v * PER_MM) for v in code.box)
        grey[y0:y1, x0:x1] = 255
    out = io.BytesIO()
    Image.fromarray(grey).rotate(90, expand=True).save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def smudged(store: Store) -> Iterator[Smudged]:
    with store.writing() as session:
        version = papers.version_of(session, papers.make_paper(session, PAPER, "R").id).id
    run = printings.print_for(store, version, sheets=2)
    uploads.accept(store, run, "<i>smudged</i>.png", [page(store, 1, codes=False)])
    mark_here(store)
    with idle(store) as client:
        yield Smudged(client, store)


@BOTH
def test_a_page_is_looked_at_turned_and_named(smudged: Smudged) -> None:
    place = smudged.place()
    told = smudged.client.get(place).text
    assert "the page code cannot be read" in told
    assert "<i>smudged" not in told
    options = re.findall(r'<option value="([^"]+)"', told)
    assert options == ["S0001/1", "S0002/1"]
    wide = Image.open(io.BytesIO(smudged.client.get(f"{place}/picture").content))
    smudged.client.post(place, data={"act": "turn", "degrees": "90"})
    tall = Image.open(io.BytesIO(smudged.client.get(f"{place}/picture").content))
    assert wide.size == tall.size[::-1]
    answered = smudged.client.post(place, data={"act": "name", "as": "S0002/1"})
    assert "Read again as page 1 of sheet S0002." in answered.text
    done = smudged.run()
    assert "1 page marked" in done
    assert "Pages that do not count" not in done
    assert "named page 1 of sheet S0002" in done
    again = smudged.client.get(smudged.place()).text
    assert "turned by 90 degrees" in again
    assert "before: the page code cannot be read" in again
    assert "(is in)" in again


def test_a_page_is_set_aside_with_a_reason_and_taken_back(smudged: Smudged) -> None:
    place = smudged.place()
    assert smudged.client.post(place, data={"act": "aside", "why": " "}).status_code == 400
    smudged.client.post(place, data={"act": "aside", "why": "Tried on <b>scrap</b>."})
    listed = smudged.run()
    assert "Pages that do not count" not in listed
    assert "set aside: Tried on &lt;b&gt;scrap&lt;/b&gt;." in listed
    smudged.client.post(place, data={"act": "back"})
    assert "Pages that do not count" in smudged.run()


def test_a_page_is_taken_anew(smudged: Smudged) -> None:
    place = smudged.place()
    whole = {"scans": ("again.png", page(smudged.store, 1, codes=True))}
    assert "Taken in" in smudged.client.post(f"{place}/scans", files=whole).text
    listed = smudged.run()
    assert "again.png" in listed
    assert "1 page marked" in listed
    assert "set aside: Photographed again." in listed
    assert smudged.client.post(f"{place}/scans").status_code == 400


@pytest.mark.parametrize(
    "form",
    [
        {"act": "name", "as": "S0003/1"}, {"act": "name", "as": "S0001/9"}, {"act": "name"},
        {"act": "name", "as": "S0001/x"}, {"act": "turn", "degrees": "45"}, {"act": "turn"},
        {"act": "burn"}, {},
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_told_and_changes_nothing(
    smudged: Smudged, form: dict[str, str]
) -> None:
    place = smudged.place()
    assert smudged.client.post(place, data=form).status_code == 400
    assert "What was done" not in smudged.client.get(place).text


def test_pages_that_need_no_mending_have_no_such_page(smudged: Smudged, tmp_path: Path) -> None:
    place = smudged.place()
    for wrong in ("/printings/1/mend/77", place.replace("/1/", "/2/"), f"{place}7/picture"):
        assert smudged.client.get(wrong).status_code == 404, wrong
    smudged.client.post("/printings/1/scans", files={"scans": ("x.pdf", b"no scan")})
    listed = smudged.run()
    assert "x.pdf: " in listed
    assert smudged.client.post("/printings/2/uploads/2/aside", data={"why": "x"}).status_code == 404
    smudged.client.post("/printings/1/uploads/2/aside", data={"why": "Not ours."})
    assert "x.pdf, set aside: Not ours." in smudged.run()
