"""Files that have no business in a batch of scans, as a school's folder has them.

Each is made here from nothing; the names say what they are, as far as names ever do. What
is expected of a marker is only that each is listed with its reason and stops nothing.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from millimark.errors import MillimarkError

Rng = np.random.Generator


def _jpeg(image: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> bytes:
    from PIL import Image

    buffer = io.BytesIO()
    Image.fromarray(image).save(buffer, "JPEG", quality=80, dpi=(200, 200))
    return buffer.getvalue()


def _photograph(rng: Rng) -> bytes:
    """A picture of something else: soft blobs of colour."""
    import cv2

    rough = rng.integers(0, 256, (12, 9, 3)).astype(np.uint8)
    return _jpeg(np.asarray(cv2.resize(rough, (900, 1200), interpolation=cv2.INTER_CUBIC)))


def _blank_sheet(rng: Rng) -> bytes:
    page = np.clip(rng.normal(246, 2, (1754, 1240)), 0, 255).astype(np.uint8)
    return _jpeg(page)


def _pdf(pages: int, size: tuple[float, float] = (595.0, 842.0), password: str = "") -> bytes:
    import pikepdf

    pdf = pikepdf.new()
    for _ in range(pages):
        pdf.add_blank_page(page_size=size)
    buffer = io.BytesIO()
    if password:
        pdf.save(buffer, encryption=pikepdf.Encryption(user=password, owner=password))
    else:
        pdf.save(buffer, deterministic_id=True)
    return buffer.getvalue()


def _bomb(rng: Rng) -> bytes:
    """A well-formed PNG header that promises 60,000 x 60,000 pixels, and a few bytes of them."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 0, 0, 0, 0)
    body = zlib.compress(bytes(200_000))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


def _half(good: bytes) -> bytes:
    return good[: len(good) // 3]


KINDS: dict[str, tuple[str, Callable[[Rng], bytes]]] = {
    "empty": ("scan-empty.jpg", lambda rng: b""),
    "text": ("notes.pdf", lambda rng: b"Dear colleague, the scans are in the other folder.\n"),
    "noise": ("scan-noise.png", lambda rng: rng.integers(0, 256, 5000).astype(np.uint8).tobytes()),
    "truncated": ("scan-cut.jpg", lambda rng: _half(_blank_sheet(rng))),
    "encrypted": ("locked.pdf", lambda rng: _pdf(1, password="sesame")),
    "no-pages": ("nothing.pdf", lambda rng: _pdf(0)),
    "broken-pdf": ("broken.pdf", lambda rng: _half(_pdf(3))),
    "huge-page": ("poster.pdf", lambda rng: _pdf(1, size=(14_000.0, 14_000.0))),
    "bomb": ("large.png", _bomb),
    "photograph": ("holiday.jpg", _photograph),
    "blank-sheet": ("blank.jpg", _blank_sheet),
    "renamed": ("really-a-pdf.jpg", lambda rng: _pdf(1)),
}


PAGE_TWICE = "page-twice"
"""A good scan a second time, under another name."""


def add_hostile_files(
    folder: Path, rng: Rng, kinds: Sequence[str] | None = None, count: int | None = None
) -> list[dict[str, str]]:
    """Write ``count`` such files (None: one of each kind) into ``folder``; what they are.

    Names are kept apart by a number where a kind comes twice.
    """
    scans = sorted(p for p in folder.iterdir() if p.is_file())
    every = [*KINDS, *([PAGE_TWICE] if scans else [])]
    known = list(kinds) if kinds is not None else every
    for kind in known:
        if kind not in every:
            raise MillimarkError(
                f"There is no hostile file {kind!r}.", f"Kinds: {', '.join(every)}."
            )
    chosen = known if count is None else [known[i % len(known)] for i in range(count)]
    lines = []
    for i, kind in enumerate(chosen):
        name, data = _made(kind, scans, rng)
        path = folder / name
        if path.exists():
            path = folder / f"{Path(name).stem}-{i}{Path(name).suffix}"
        path.write_bytes(data)
        lines.append({"file": path.name, "kind": kind})
    return lines


def _made(kind: str, scans: Sequence[Path], rng: Rng) -> tuple[str, bytes]:
    """Name and content of one hostile file."""
    if kind == PAGE_TWICE:
        twice = scans[int(rng.integers(len(scans)))]
        return f"again-{twice.name}", twice.read_bytes()
    name, make = KINDS[kind]
    return name, make(rng)
