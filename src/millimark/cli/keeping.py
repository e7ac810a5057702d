"""The folder that ``--out`` names: made where it is missing, and nothing in it is lost.

Files that a command is about to write again are first put into ``earlier-1``,
``earlier-2`` … of the same folder; where the new ones come out byte for byte the same,
that copy is taken away again. Files of other names are never touched.
"""

from __future__ import annotations

import filecmp
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from millimark.cli.console import tell
from millimark.errors import SourceError

PRINTED = (
    "question-paper.pdf",
    "model-answers.pdf",
    "overlays.pdf",
    "mark-scheme.pdf",
    "step-booklet.pdf",
    "register.pdf",
    "layout.json",
)
MARKED = (
    "marks.json",
    "marks.csv",
    "marks.xlsx",
    "annotated.pdf",
    "feedback.pdf",
    "class-sheet.pdf",
    "for-teacher.pdf",
    "names.pdf",
)
DEMONSTRATED = (
    "demonstration.html",
    "captions.vtt",
    "transcript.txt",
    "step-sheets.pdf",
    "frames",
    "demonstration.mp4",
)
REHEARSED = (*PRINTED, "truth.json", "scans")


@contextmanager
def kept_folder(out: Path, names: Sequence[str]) -> Iterator[Path]:
    """``out`` as a folder in which ``names`` may be written; put back if that fails."""
    if out.exists() and not out.is_dir():
        raise SourceError(f"'{out}' is a file.", "--out names a folder: give another name.")
    out.mkdir(parents=True, exist_ok=True)
    present = [name for name in names if (out / name).exists()]
    if not present:
        yield out
        return
    aside = next(place for n in count(1) if not (place := out / f"earlier-{n}").exists())
    aside.mkdir()
    for name in present:
        (out / name).rename(aside / name)
    try:
        yield out
    except BaseException:
        _put_back(out, aside, present)
        raise
    if all(_same(out / name, aside / name) for name in present):
        _remove(aside)
    else:
        tell(f"Files of an earlier run were kept in {aside}.")


def _put_back(out: Path, aside: Path, names: Sequence[str]) -> None:
    for name in names:
        if not (out / name).exists():
            (aside / name).rename(out / name)
    if not any(aside.iterdir()):
        aside.rmdir()


def _same(one: Path, other: Path) -> bool:
    """Whether two files, or two folders of files, hold the same bytes."""
    if one.is_dir() and other.is_dir():
        inside = sorted(p.name for p in one.iterdir())
        return inside == sorted(p.name for p in other.iterdir()) and all(
            _same(one / name, other / name) for name in inside
        )
    return one.is_file() and other.is_file() and filecmp.cmp(one, other, shallow=False)


def _remove(place: Path) -> None:
    for inside in place.iterdir():
        if inside.is_dir():
            _remove(inside)
        else:
            inside.unlink()
    place.rmdir()
