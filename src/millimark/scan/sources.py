"""Files and folders -> page images, one at a time; what cannot be read is said, not raised.

The kind of a file is told by its first bytes, never by its name. Every page of every file
comes back either as a `PageImage` or as an `Unread` with one sentence for a teacher, in
the order given (folders: natural order of names, sub-folders after their files).
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.errors import SourceError
from millimark.scan import image_files, pdf_pages
from millimark.scan.limits import MAX_BYTES, MAX_PAGES, Kind
from millimark.scan.reading import Source, Unread

WORKING_SIDE = 6_500
"""A page with a longer side (px) is read at half its resolution; A4 at 600 dpi has 7016."""


@dataclass(frozen=True, eq=False)
class PageImage:
    """One page as an image: ``grey`` (H, W) uint8, 0 black to 255 white, upright as the file
    says; ``dpi`` the stated resolution (x, y) of ``grey`` in pixels per inch, or None."""

    source: Source
    grey: NDArray[np.uint8]
    dpi: tuple[float, float] | None


@dataclass(frozen=True)
class PageRef:
    """A page that has not been decoded yet: cheap to hand to another process."""

    path: Path
    kind: Kind
    page: int

    @property
    def source(self) -> Source:
        """The file's name and the page within it, from 1."""
        return Source(self.path.name, self.page)


def pages_of(paths: Iterable[str | os.PathLike[str]]) -> Iterator[PageImage | Unread]:
    """Every page of the files and folders, decoded as it is asked for."""
    for ref in list_pages(paths):
        yield ref if isinstance(ref, Unread) else open_page(ref)


def list_pages(paths: Iterable[str | os.PathLike[str]]) -> Iterator[PageRef | Unread]:
    """Every page without decoding it; files that hold none come back as `Unread`."""
    for file in files_of(paths):
        yield from pages_in(file)


def files_of(paths: Iterable[str | os.PathLike[str]], leave: Iterable[Path] = ()) -> Iterator[Path]:
    """The files themselves and those under folders, none of them opened. Of those under folders,
    the files ``leave`` are left out."""
    left = {path.absolute() for path in leave}
    for path in map(Path, paths):
        for file in _files(path):
            if file == path or file.absolute() not in left:
                yield file


def pages_in(file: Path) -> list[PageRef | Unread]:
    """One file's pages without decoding them, or why there are none. Reads the structure of a
    PDF or TIFF, so for files of unknown origin it belongs into a worker that can be ended."""
    try:
        kind = kind_of(file)
        count = _page_count(file, kind)
    except SourceError as error:
        return [Unread(Source(file.name, 1), str(error))]
    return [PageRef(file, kind, page) for page in range(1, count + 1)]


def open_page(ref: PageRef) -> PageImage | Unread:
    """The page's image, or why it cannot be had."""
    dpi: tuple[float, float] | None
    try:
        if ref.kind == "pdf":
            grey, dpi = pdf_pages.page_image(ref.path, ref.page)
        else:
            grey, dpi = image_files.page_image(ref.path, ref.kind, ref.page)
    except SourceError as error:
        return Unread(ref.source, str(error))
    return PageImage(ref.source, *_working_size(grey, dpi))


def kind_of(path: Path) -> Kind:
    """What the file is by its first bytes; SourceError for anything that is not a scan."""
    head = _head(path)
    if b"%PDF-" in head:
        return "pdf"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if head.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if head[:4] in (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"):
        return "tiff"
    raise SourceError(
        f"{path.name} is not a PDF, PNG, JPEG or TIFF file, whatever its name says.",
        "Scan or export the page as one of these.",
    )


def _head(path: Path) -> bytes:
    """The first 1024 bytes; SourceError where there are none to be had."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise SourceError(
                f"{path.name} is a folder that cannot be looked into, or a link to one.",
                "Name the folder itself, or copy its scans.",
            )
        if not stat.S_ISREG(status.st_mode):
            raise SourceError(f"{path.name} is not a file that can be read.")
        if status.st_size == 0:
            raise SourceError(f"{path.name} is empty (0 bytes).", "Scan or copy it again.")
        if status.st_size > MAX_BYTES:
            raise SourceError(
                f"{path.name} has {status.st_size // 1_000_000} MB, more than the "
                f"{MAX_BYTES // 1_000_000} MB that a file may have.",
                "Split it into smaller files.",
            )
        with path.open("rb") as file:
            return file.read(1024)
    except FileNotFoundError:
        raise SourceError(f"{path.name} does not exist.", f"Looked for {path}.") from None
    except OSError as error:
        raise SourceError(f"{path.name} cannot be opened: {error.strerror}.") from None


def _page_count(path: Path, kind: Kind) -> int:
    if kind in ("png", "jpeg"):  # always one, without a look inside
        return 1
    count = pdf_pages.page_count(path) if kind == "pdf" else image_files.page_count(path)
    if count > MAX_PAGES:
        raise SourceError(f"{path.name} has {count} pages, more than {MAX_PAGES}.", "Split it.")
    return count


def _natural(name: str) -> tuple[tuple[int, int, str], ...]:
    parts = re.split(r"(\d+)", name.casefold())
    return tuple((0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts if p)


def _files(path: Path) -> Iterator[Path]:
    """The file itself, or the files under a folder and then its sub-folders; hidden ones are left
    alone. A folder that cannot be looked into, and a link to one, comes back itself: it is then
    listed with its reason."""
    try:
        inside = list(os.scandir(path)) if path.is_dir() else None
    except OSError:
        inside = None
    if inside is None:
        yield path
        return
    seen = sorted((e for e in inside if not e.name.startswith(".")), key=lambda e: _natural(e.name))
    for entry in seen:
        if not entry.is_dir(follow_symlinks=False):
            yield path / entry.name
    for entry in seen:
        if entry.is_dir(follow_symlinks=False):
            yield from _files(path / entry.name)


def _working_size(
    grey: NDArray[np.uint8], dpi: tuple[float, float] | None
) -> tuple[NDArray[np.uint8], tuple[float, float] | None]:
    """Halved until no side is longer than `WORKING_SIDE`, the dpi with it."""
    while max(grey.shape) > WORKING_SIDE:
        even = grey[: grey.shape[0] // 2 * 2, : grey.shape[1] // 2 * 2]
        size = (even.shape[1] // 2, even.shape[0] // 2)
        grey = np.asarray(cv2.resize(even, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        dpi = None if dpi is None else (dpi[0] / 2, dpi[1] / 2)
    return grey, dpi
