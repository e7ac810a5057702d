"""Wrong papers and sentences: exit 2, one pointed message, and nothing printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from .conftest import Command

HEAD = "title: T\nquestions:\n  - marks: 2\n    given: [{given}]\n    ask: [{ask}]\n"
BISECTOR = "Draw the locus of points that are the same distance from A as from B."


def paper(tmp_path: Path, given: str, ask: str, extra: str = "") -> Path:
    path = tmp_path / "paper.yaml"
    path.write_text(extra + HEAD.format(given=given, ask=ask), encoding="utf-8")
    return path


WRONG = {
    "impossible triangle": (
        "Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 9 cm.",
        "Draw the locus of points that are 3 cm from P.",
        "",
        ["2 cm", "3 cm", "9 cm"],
    ),
    "too wide for the page": (
        "A and B are 40 cm apart.",
        BISECTOR,
        "",
        ["40 cm", "larger page"],
    ),
    "a locus too large": (
        "A and B are 4 cm apart.",
        "Draw the locus of points that are 19 cm from A.",
        "instruments: {ruler: 30 cm, compasses: 30 cm, protractor: true}\n",
        [],
    ),
    "compasses too small": (
        "A and B are 4 cm apart.",
        "Draw the locus of points that are 6 cm from A.",
        "instruments: {ruler: 30 cm, compasses: 5 cm, protractor: true}\n",
        ["compasses"],
    ),
    "a word that is not understood": (
        "A and B are 8 cm apart.",
        "Draw the locus of points that are the same distance from A as frm B.",
        "",
        ["frm", "^^^"],
    ),
    "a point that is not given": (
        "A and B are 8 cm apart.",
        "Draw the locus of points that are 3 cm from C.",
        "",
        ["C"],
    ),
}


@pytest.mark.parametrize("name", WRONG)
@pytest.mark.parametrize("verb", ["check", "print", "rehearse"])
def test_wrong_questions_are_said_before_anything_is_printed(
    name: str, verb: str, tmp_path: Path, command: Command
) -> None:
    given, ask, extra, says = WRONG[name]
    words: list[str | Path] = [verb, paper(tmp_path, given, ask, extra)]
    if verb != "check":
        words += ["--out", tmp_path / "out"]
    if verb == "rehearse":
        words += ["--pupils", "2"]
    ran = command(*words)
    assert ran.code == 2
    assert ran.out == ""
    for part in says:
        assert part in ran.err
    made = list((tmp_path / "out").rglob("*")) if (tmp_path / "out").exists() else []
    assert [p.name for p in made if p.suffix == ".pdf"] == []


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"title: [",
        b"\xff\xfe\x00",
        b"- a\n- b\n",
        b"title: T\n",
        b"title: T\nquestions: []\n",
        b"title: T\nquestions: 7\n",
        b"title: T\nquestions:\n  - 7\n",
        b"title: T\nquestions:\n  - given: A and B are 8 cm apart.\n",
        b"title: T\npage: A9\nquestions:\n  - {given: [A and B are 8 cm apart.], ask: [x]}\n",
        b"title: T\nqestions: []\n",
        b"title: T\ntitle: U\nquestions: []\n",
        b"title: &a [*a]\nquestions: *a\n",
        b"title: T\nquestions:\n\t- x\n",
        b"!!python/object/apply:os.system ['true']\n",
    ],
)
def test_files_that_are_no_papers(content: bytes, tmp_path: Path, command: Command) -> None:
    path = tmp_path / "wrong.yaml"
    path.write_bytes(content)
    ran = command("check", path)
    assert ran.code == 2
    assert "wrong.yaml" in ran.err
    assert ran.out == ""


def test_missing_papers_and_folders(tmp_path: Path, command: Command) -> None:
    for path in (tmp_path / "nowhere.yaml", tmp_path):
        ran = command("check", path)
        assert ran.code == 2
        assert path.name in ran.err


@pytest.mark.parametrize("value", ["0", "-3", "2.5", "many", "100000000"])
def test_numbers_of_sheets_that_make_no_sense(
    value: str, paper_file: Path, tmp_path: Path, command: Command
) -> None:
    ran = command("print", paper_file, "--out", tmp_path / "out", "--sheets", value)
    assert ran.code == 2
    assert "--sheets" in ran.err


@pytest.mark.parametrize("scale", ["0", "97", "-1", "nan", "inf", "0.5", "a"])
def test_print_scales_that_make_no_sense(
    scale: str, paper_file: Path, tmp_path: Path, command: Command
) -> None:
    out = tmp_path / "out"
    ran = command("rehearse", paper_file, "--pupils", "1", "--out", out, "--print-scale", scale)
    assert ran.code == 2
    assert "--print-scale" in ran.err


def test_an_out_that_cannot_be_written(paper_file: Path, tmp_path: Path, command: Command) -> None:
    (tmp_path / "file").write_text("mine")
    for out in (tmp_path / "file", tmp_path / "file" / "below", Path("/proc/nowhere/out")):
        ran = command("print", paper_file, "--out", out)
        assert ran.code == 2
        assert str(out.parent) in ran.err
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.parametrize(
    "sentences",
    [
        [
            "Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 9 cm.",
            "Draw the locus of points 1 cm from P.",
        ],
        ["A and B are 8 cm apart."],
        [BISECTOR],
        ["Draw a duck."],
        [""],
        ["   "],
        ["\x00\x1b[31m"],
        ["A and B are 1e400 cm apart.", BISECTOR],
        ["A and B are -8 cm apart.", BISECTOR],
        ["A and B are 0 cm apart.", BISECTOR],
        ["A" * 5000],
        ["A and A are 8 cm apart.", BISECTOR],
    ],
)
def test_wrong_sentences_on_the_command_line(sentences: list[str], command: Command) -> None:
    ran = command("solve", *sentences)
    assert ran.code == 2
    assert ran.out == ""
    assert len(ran.err) < 5000
