"""What a user reads when something is wrong, and that it is never a traceback."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import pytest

from millimark.cli import commands, door
from millimark.cli.trouble import lines_of
from millimark.errors import MillimarkError, PaperError, WordsError

SENTENCE = "Draw the locus of points 3 cm form A."


def words_error(hint: str = "Did you mean 'from'?", sentence: str = SENTENCE) -> WordsError:
    return WordsError(
        "'form' was not expected here.",
        hint,
        sentence=sentence,
        column=sentence.index("form") + 1,
        length=4,
        expected=("from",),
        nearest="Draw the locus of points 3 cm from A.",
    )


def pointed(lines: list[str]) -> str:
    """The word over the caret."""
    row = next(i for i, line in enumerate(lines) if line.strip().startswith("^"))
    start = lines[row].index("^")
    return lines[row - 1][start : start + lines[row].count("^")]


@pytest.mark.parametrize("before", ["", "x " * 30, "x " * 300])
@pytest.mark.parametrize("after", ["", " y" * 300])
def test_a_caret_stands_under_the_word(before: str, after: str) -> None:
    lines = list(lines_of(words_error(sentence=before + SENTENCE + after)))
    assert pointed(lines) == "form"
    assert lines[-1].strip() == "Did you mean 'from'?"
    assert max(len(line) for line in lines) < 140


def test_without_a_hint_the_expected_words_and_the_nearest_sentence_are_shown() -> None:
    lines = list(lines_of(words_error(hint="")))
    assert any("from" in line for line in lines[3:])
    assert "Draw the locus of points 3 cm from A." in lines[4]


def test_nothing_that_a_user_typed_steers_the_terminal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    door.run(["solve", "A \x1b[2J form B."])
    assert "\x1b" not in capsys.readouterr().err


def test_a_papers_error_names_its_place_and_shows_the_sentence_behind_it() -> None:
    error = PaperError("Question 2 is not understood.", file="p.yaml", line=7, column=9)
    error.__cause__ = words_error()
    lines = list(lines_of(error))
    assert lines[0].startswith("p.yaml:7:9: ")
    assert any(line.strip() == "^^^^" for line in lines)


@pytest.fixture(autouse=True)
def details_stay_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files with details go to this test's own folder."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))


class Breaks:
    """Stands in for the group of commands and fails as it is told."""

    def __init__(self, error: BaseException) -> None:
        self.error = error

    def main(self, **_: object) -> int:
        raise self.error


@pytest.mark.parametrize(
    ("error", "code", "says"),
    [
        (MillimarkError("Sides 2, 3 and 9 make no triangle."), 2, "Sides 2, 3 and 9"),
        (PermissionError(13, "Permission denied", "/root/out"), 2, "'/root/out' could not"),
        (OSError(28, "No space left on device", "scan.pdf"), 2, "no space left"),
        (ZeroDivisionError("secret detail"), 2, "fault of Millimark"),
        (KeyboardInterrupt(), 130, "Stopped."),
    ],
)
def test_no_traceback_ever(
    error: BaseException,
    code: int,
    says: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(door, "millimark", Breaks(error))
    assert door.run([]) == code
    shown = capsys.readouterr()
    assert says in shown.err
    assert shown.out == ""
    assert "Traceback" not in shown.err
    assert "secret detail" not in shown.err


def test_details_of_our_own_fault_are_kept_in_a_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(door, "millimark", Breaks(ZeroDivisionError("secret detail")))
    door.run([])
    kept = Path(capsys.readouterr().err.split("Details: ")[1].splitlines()[0])
    assert "secret detail" in kept.read_text()


@pytest.mark.parametrize("arguments", [["chek"], ["solve"], ["print"], ["mark", "--frob"]])
def test_wrong_usage_is_wrong_input(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert door.run(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err


def test_the_nearest_command_is_offered(capsys: pytest.CaptureFixture[str]) -> None:
    door.run(["solv"])
    assert "Did you mean 'solve'?" in capsys.readouterr().err


def test_help_loads_no_command_and_no_heavy_library() -> None:
    import subprocess

    code = (
        "import sys; from millimark.cli.door import run; run(['--help']); "
        "print([m for m in ('numpy', 'cv2', 'scipy', 'typst', 'rich', 'lark') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert all(name in done.stdout for name in commands.COMMANDS)
