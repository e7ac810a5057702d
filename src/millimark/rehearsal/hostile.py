"""Files that lie among the scans and are none, or are more than they seem: what a batch meets.

Each kind is a name, how the file is called, and what makes it. None does harm by lying there.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from millimark.errors import MillimarkError
from millimark.rehearsal import hostile_files as files
from millimark.rehearsal import hostile_pdfs as pdfs

Rng = np.random.Generator
Bytes = Callable[[Rng], bytes]
Place = Callable[[Path, Rng], None]

KINDS: dict[str, tuple[str, Bytes]] = {
    "empty": ("scan-empty.jpg", lambda rng: b""),
    "text": ("notes.pdf", lambda rng: b"Dear colleague, the scans are in the other folder.\n"),
    "noise": ("scan-noise.png", files.noise),
    "truncated": ("scan-cut.jpg", lambda rng: files.half(files.blank_sheet(rng))),
    "encrypted": ("locked.pdf", lambda rng: pdfs.blank_pdf(1, password="sesame")),
    "no-pages": ("nothing.pdf", lambda rng: pdfs.blank_pdf(0)),
    "broken-pdf": ("broken.pdf", lambda rng: files.half(pdfs.blank_pdf(3))),
    "huge-page": ("poster.pdf", lambda rng: pdfs.blank_pdf(1, size=(14_000.0, 14_000.0))),
    "bomb": ("large.png", files.png_bomb),
    "photograph": ("holiday.jpg", files.photograph),
    "blank-sheet": ("blank.jpg", files.blank_sheet),
    "renamed": ("really-a-pdf.jpg", lambda rng: pdfs.blank_pdf(1)),
    "text-bomb": ("comment.png", files.text_bomb),
    "jpeg-bomb": ("large.jpg", files.jpeg_bomb),
    "tiff-bomb": ("large.tif", files.tiff_bomb),
    "tiff-frames": ("film.tif", files.tiff_frames),
    "tiff-loop": ("round.tif", files.tiff_loop),
    "stream-bomb": ("unpacks.pdf", pdfs.stream_bomb),
    "contents-bomb": ("endless.pdf", pdfs.contents_bomb),
    "form-loop": ("mirror.pdf", pdfs.form_loop),
    "page-loop": ("tree.pdf", pdfs.page_loop),
    "many-pages": ("book.pdf", pdfs.many_pages),
    "deep-nesting": ("deep.pdf", pdfs.deep_nesting),
    "gif": ("picture.gif", files.gif),
    "other-paper": ("stray.jpg", files.other_paper),
    "odd-name": (os.fsdecode(b"line\nbreak [red]\x1b[2J \xff.png"), files.noise),
}

PLACES: dict[str, tuple[str, Place]] = {
    "link-nowhere": ("moved.jpg", files.link_nowhere),
    "link-round": ("round.jpg", files.link_round),
    "link-to-folder": ("again", files.link_to_folder),
    "pipe": ("pipe.pdf", files.pipe),
    "locked": ("private.jpg", files.locked),
}
"""What is no regular file, or may not be opened."""

PAGE_TWICE = "page-twice"
"""A good scan a second time, under another name."""


def kinds() -> list[str]:
    """Every kind that this system can make, a page given twice not counted."""
    return [*KINDS, *(name for name in PLACES if os.name == "posix")]


def add_hostile_files(
    folder: Path, rng: Rng, kinds: Sequence[str] | None = None, count: int | None = None
) -> list[dict[str, str]]:
    """Write ``count`` such files (None: one of each kind) into ``folder``; what they are.

    Names are kept apart by a number where a kind comes twice.
    """
    scans = sorted(p for p in folder.iterdir() if p.is_file())
    every = _every(bool(scans))
    known = list(kinds) if kinds is not None else every
    for kind in known:
        if kind not in every:
            raise MillimarkError(
                f"There is no hostile file {kind!r}.", f"Kinds: {', '.join(every)}."
            )
    chosen = known if count is None else [known[i % len(known)] for i in range(count)]
    lines = []
    for i, kind in enumerate(chosen):
        path = _write(folder, kind, i, scans, rng)
        lines.append({"file": path.name.encode("utf-8", "replace").decode("utf-8"), "kind": kind})
    return lines


def _every(scanned: bool) -> list[str]:
    return [*kinds(), *([PAGE_TWICE] if scanned else [])]


def _write(folder: Path, kind: str, number: int, scans: Sequence[Path], rng: Rng) -> Path:
    """Make one hostile file; its place."""
    if kind == PAGE_TWICE:
        twice = scans[int(rng.integers(len(scans)))]
        path = _free(folder, f"again-{twice.name}", number)
        path.write_bytes(twice.read_bytes())
    elif kind in PLACES:
        name, put = PLACES[kind]
        path = _free(folder, name, number)
        put(path, rng)
    else:
        name, make = KINDS[kind]
        path = _free(folder, name, number)
        path.write_bytes(make(rng))
    return path


def _free(folder: Path, name: str, number: int) -> Path:
    """A place of this name that nothing holds yet."""
    path = folder / name
    if path.exists() or path.is_symlink():
        path = folder / f"{path.stem}-{number}{path.suffix}"
    return path
