"""What README.md and the other pages show is what the commands do, and links lead somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from millimark.cli.door import run

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").glob("*.md"))]
README = PAGES[0].read_text(encoding="utf-8")


def blocks(language: str, text: str = README) -> list[str]:
    """The fenced blocks of a language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)


def sessions() -> list[tuple[str, str]]:
    """Command and shown output for each ``$`` line of the console blocks."""
    found = []
    for block in blocks("console"):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            line, _, output = part.partition("\n")
            found.append((line, output.rstrip("\n")))
    return found


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the README's paper and scans of it."""
    place = tmp_path_factory.mktemp("readme")
    (place / "beacons.yaml").write_text(blocks("yaml")[0], encoding="utf-8")
    tried = place / "tried"
    assert run(["rehearse", str(place / "beacons.yaml"), "--pupils", "2", "--out", str(tried)]) == 0
    shutil.copytree(tried / "scans", place / "scans")
    return place


def test_there_are_sessions_to_try() -> None:
    shown = [line.split()[1] for line, _ in sessions()]
    assert {"check", "print", "mark", "solve"} <= set(shown)
    assert sum(bool(output) for _, output in sessions()) >= 3


@pytest.mark.parametrize("number", range(len(sessions())))
def test_a_session_shows_what_happens(
    number: int, desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    line, output = sessions()[number]
    program, *arguments = shlex.split(line)
    assert program == "millimark"
    monkeypatch.chdir(desk)
    monkeypatch.setenv("COLUMNS", "110")
    code = run(arguments)
    shown = capsys.readouterr()
    assert "fault of Millimark" not in shown.err
    if output:
        expected = shown.out if shown.out else shown.err
        assert [row.rstrip() for row in output.splitlines()] == [
            row.rstrip() for row in expected.strip("\n").splitlines()
        ]
        assert code == (0 if shown.out else 2)
    else:
        assert code == 0, shown.err


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_to_files(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), f"{page.name} links to {target}"


def test_make_targets_that_are_named_exist() -> None:
    targets = set(
        re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    )
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        named = set(re.findall(r"(?:`|^    )make ([a-z]+)", text, re.MULTILINE))
        assert named <= targets, f"{page.name}: {named - targets}"
