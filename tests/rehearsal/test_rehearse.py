"""A whole rehearsal: the same files for the same seed, and what the files say."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from millimark.errors import MillimarkError
from millimark.paper.reading import paper_from_data
from millimark.rehearsal.faults import Fault
from millimark.rehearsal.rehearse import Rehearsal, rehearse

TWO = paper_from_data(
    {
        "title": "A rehearsal's paper",
        "questions": [
            {
                "given": ["A and B are 8 cm apart."],
                "ask": ["Draw the locus of points that are the same distance from A as from B."],
            },
            {
                "given": ["Triangle PQR has PQ = 8 cm, QR = 7 cm and PR = 6.5 cm."],
                "ask": [
                    "Shade the region inside triangle PQR that is nearer to PQ than to PR "
                    "and less than 5 cm from Q."
                ],
            },
        ],
    }
)


def run(out: Path, **options: object) -> Rehearsal:
    chosen: dict[str, object] = {"pupils": 1, "seed": 5, "dpi": 100, "jobs": 1} | options
    return rehearse(TWO, out=out, **chosen)  # type: ignore[arg-type]


def digests(folder: Path) -> dict[str, str]:
    files = [*sorted((folder / "scans").iterdir()), folder / "truth.json"]
    return {f.name: hashlib.sha256(f.read_bytes()).hexdigest() for f in files}


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> Rehearsal:
    return run(tmp_path_factory.mktemp("usual"), pupils=2)


def test_same_seed_same_files(usual: Rehearsal, tmp_path: Path):
    again = run(tmp_path, pupils=2, jobs=2)  # and the number of processes does not matter
    assert digests(again.folder) == digests(usual.folder)


def test_another_seed_other_pupils(usual: Rehearsal, tmp_path: Path):
    other = run(tmp_path, seed=6)
    assert digests(other.folder)["truth.json"] != digests(usual.folder)["truth.json"]


def test_every_page_has_one_scan_and_neutral_names(usual: Rehearsal):
    pages = sum(len(s.pages) for s in usual.layout.sheets)
    lines = usual.truth["scans"]
    assert len(lines) == len(usual.scans) == pages
    assert [s.name for s in usual.scans] == [f"scan-{i + 1:04d}.jpg" for i in range(pages)]
    assert len({(s["sheet"], s["page"]) for s in lines}) == pages
    assert json.loads((usual.folder / "truth.json").read_text()) == usual.truth


def test_the_file_states_its_resolution_and_has_its_size(usual: Rehearsal):
    with Image.open(usual.scans[0]) as picture:
        assert picture.info["dpi"] == (100, 100)
        assert picture.size == (827, 1169)  # 210 and 297 mm (ISO 216) at 100 dpi


@pytest.mark.parametrize("form", ["png", "tiff", "pdf"])
def test_forms(form: str, tmp_path: Path):
    got = run(tmp_path, form=form)
    first = got.scans[0]
    if form == "pdf":
        document = pypdfium2.PdfDocument(first)
        width, height = document[0].get_size()
        document.close()
        assert (width, height) == pytest.approx((827 * 0.72, 1169 * 0.72), abs=0.01)
    else:
        with Image.open(first) as picture:
            assert picture.format == form.upper()
            assert [float(v) for v in picture.info["dpi"]] == pytest.approx([100, 100], abs=0.02)


def test_a_batch_in_one_pdf(usual: Rehearsal, tmp_path: Path):
    got = run(tmp_path, pupils=2, form="batch-pdf")
    assert [f.name for f in got.scans] == ["batch.pdf"]
    document = pypdfium2.PdfDocument(got.scans[0])
    assert len(document) == len(usual.scans)
    document.close()
    pages = [s["source_page"] for s in got.truth["scans"]]
    assert pages == list(range(1, len(usual.scans) + 1))


def test_upside_down_and_scales_by_sheet(tmp_path: Path):
    got = run(tmp_path, pupils=3, print_scale=(0.94, 1.05), upside_down=True)
    assert all(s["upside_down"] for s in got.truth["scans"])
    assert [s["print_scale"] for s in got.truth["sheets"]] == [0.94, 1.05, 0.94]
    for line in got.truth["scans"]:
        map_ = np.array(line["to_image"])
        per_mm = np.sqrt(np.linalg.det(map_[:2, :2]))
        assert per_mm == pytest.approx(line["print_scale"] * 100 / 25.4, rel=2e-3)
        assert map_[0, 0] < 0  # turned round


def test_planned_faults_and_names(tmp_path: Path):
    planned = {(0, "1"): (Fault("blank"),), (0, "2"): (Fault("not-shaded"),)}
    got = run(tmp_path, planned=planned, names=["Wilma Example"], fault_rate=1.0)
    questions = [q for p in got.truth["sheets"][0]["pages"] for q in p["questions"]]
    assert [[f["fault"] for f in q["faults"]] for q in questions] == [["blank"], ["not-shaded"]]
    assert got.layout.sheets[0].pupil == "Wilma Example"


def test_progress_is_told(tmp_path: Path):
    told: list[tuple[int, int]] = []
    run(tmp_path, pupils=2, progress=lambda done, total, what: told.append((done, total)))
    assert told == [(1, 2), (2, 2)]


@pytest.mark.parametrize(
    ("options", "what"),
    [
        ({"pupils": 0}, "needs pupils: 0"),
        ({"print_scale": 97}, "print scale of 97"),
        ({"capture": "fax"}, "'fax'"),
        ({"dpi": 20}, "20 dpi"),
        ({"form": "gif"}, "'gif'"),
        ({"tone": "sepia"}, "'sepia'"),
    ],
)
def test_bad_wishes_are_refused_by_name(options: dict[str, object], what: str, tmp_path: Path):
    with pytest.raises(MillimarkError, match=what):
        run(tmp_path, **options)
    assert not list(tmp_path.iterdir())


def test_phones_state_no_resolution_and_leave_a_grid(tmp_path: Path):
    got = run(tmp_path, capture="phone", dpi=300)
    line = got.truth["scans"][0]
    assert (line["capture"], line["dpi"], line["to_image"]) == ("phone", None, None)
    with Image.open(tmp_path / "scans" / line["file"]) as picture:
        assert "dpi" not in picture.info
        assert sorted(picture.size) == [3024, 4032]
        grid = np.array(line["grid"])
        assert (grid[:, 2:] > 0).all()
        assert (grid[:, 2:] < picture.size).all()


def test_bilevel_and_colour(tmp_path: Path):
    got = run(tmp_path / "b", tone="bilevel", dpi=200)
    with Image.open(got.scans[0]) as picture:
        assert (picture.mode, picture.format) == ("1", "TIFF")
    got = run(tmp_path / "c", tone="colour")
    with Image.open(got.scans[0]) as picture:
        assert picture.mode == "RGB"


def test_hostile_files_lie_among_the_scans_and_are_listed(tmp_path: Path):
    got = run(tmp_path, hostile=14)
    names = {f.name for f in (tmp_path / "scans").iterdir()}
    listed = [line["file"] for line in got.truth["hostile"]]
    assert len(listed) == len(set(listed)) == 14
    assert names == {*listed, *(s["file"] for s in got.truth["scans"])}


def test_wear_is_listed_and_seen(usual: Rehearsal, tmp_path: Path):
    worn = run(tmp_path, pupils=2, wear=1.0)
    assert all(s["worn"] for s in worn.truth["scans"])
    assert not any(s["worn"] for s in usual.truth["scans"])
    for line in worn.truth["scans"]:
        after = (tmp_path / "scans" / line["file"]).read_bytes()
        assert after != (usual.folder / "scans" / line["file"]).read_bytes()
