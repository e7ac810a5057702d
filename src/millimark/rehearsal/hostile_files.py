"""Images and odd places that lie among scans: each as the bytes or the thing itself."""

from __future__ import annotations

import io
import os
import struct
import tempfile
import zlib
from pathlib import Path

import numpy as np

Rng = np.random.Generator

_LARGE = 60_000
"""Pixels to a side that bombs promise: 3.6 thousand million."""


def jpeg(image: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> bytes:
    """The image as a JPEG file at 200 dpi."""
    from PIL import Image

    buffer = io.BytesIO()
    Image.fromarray(image).save(buffer, "JPEG", quality=80, dpi=(200, 200))
    return buffer.getvalue()


def photograph(rng: Rng) -> bytes:
    """A picture of something else: soft blobs of colour."""
    import cv2

    rough = rng.integers(0, 256, (12, 9, 3)).astype(np.uint8)
    return jpeg(np.asarray(cv2.resize(rough, (900, 1200), interpolation=cv2.INTER_CUBIC)))


def blank_sheet(rng: Rng) -> bytes:
    """An A4 sheet with nothing on it, at 150 dpi."""
    return jpeg(np.clip(rng.normal(246, 2, (1754, 1240)), 0, 255).astype(np.uint8))


def noise(rng: Rng) -> bytes:
    """Bytes that mean nothing."""
    return rng.integers(0, 256, 5000).astype(np.uint8).tobytes()


def half(good: bytes) -> bytes:
    """The first third of a file."""
    return good[: len(good) // 3]


# --- images that promise more than they hold -------------------------------------------------
def png_bomb(rng: Rng) -> bytes:
    """A well-formed PNG header that promises 60,000 x 60,000 pixels, and a few bytes of them."""
    header = struct.pack(">IIBBBBB", _LARGE, _LARGE, 8, 0, 0, 0, 0)
    return _png(header, [(b"IDAT", zlib.compress(bytes(200_000)))])


def text_bomb(rng: Rng) -> bytes:
    """A small PNG with a comment that unpacks to 100 MB."""
    header = struct.pack(">IIBBBBB", 8, 8, 8, 0, 0, 0, 0)
    comment = b"Comment\x00\x00" + repeated(bytes(1_000_000), 100)
    return _png(header, [(b"zTXt", comment), (b"IDAT", zlib.compress(bytes(8 * 9)))])


def _png(header: bytes, chunks: list[tuple[bytes, bytes]]) -> bytes:
    every = [(b"IHDR", header), *chunks, (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in every
    )


def repeated(block: bytes, times: int) -> bytes:
    """``block`` so many times, deflated, without ever holding it: after a full flush a piece of
    the stream refers to nothing before it, so it can be repeated itself (RFC 1950, 1951)."""
    packer = zlib.compressobj(9)
    piece = packer.compress(block) + packer.flush(zlib.Z_FULL_FLUSH)
    check = zlib.adler32(b"")
    for _ in range(times):
        check = zlib.adler32(block, check)
    return piece[:2] + piece[2:] * times + b"\x03\x00" + struct.pack(">I", check)


def jpeg_bomb(rng: Rng) -> bytes:
    """A small JPEG whose header says 65,500 x 65,500 pixels."""
    data = bytearray(jpeg(np.full((64, 64), 200, np.uint8)))
    at = data.index(b"\xff\xc0")  # start of frame: marker, length, precision, height, width
    data[at + 5 : at + 9] = struct.pack(">HH", 65_500, 65_500)
    return bytes(data)


def tiff_bomb(rng: Rng) -> bytes:
    """A TIFF of one strip that promises 60,000 x 60,000 pixels."""
    strip = zlib.compress(bytes(100_000))
    return _tiff([(_LARGE, _LARGE, strip)])


def tiff_frames(rng: Rng) -> bytes:
    """A TIFF of 6,000 pages of one pixel."""
    return _tiff([(1, 1, zlib.compress(b"\xff"))] * 6_000)


def tiff_loop(rng: Rng) -> bytes:
    """A TIFF whose last page says that the first follows it."""
    return _tiff([(8, 8, zlib.compress(bytes(64)))] * 2, again=True)


def _tiff(pages: list[tuple[int, int, bytes]], again: bool = False) -> bytes:
    """Grey pages (width, height, deflated strip) with their directories one after the other
    (TIFF 6.0, section 2)."""
    out = bytearray(b"II*\x00" + struct.pack("<I", 8))
    for k, (width, height, strip) in enumerate(pages):
        entries = [
            (256, 4, width), (257, 4, height), (258, 3, 8), (259, 3, 8), (262, 3, 1),
            (273, 4, len(out) + 2 + 9 * 12 + 4), (277, 3, 1), (278, 4, height),
            (279, 4, len(strip)),
        ]  # fmt: skip
        directory = struct.pack("<H", len(entries)) + b"".join(
            struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in entries
        )
        after = len(out) + len(directory) + 4 + len(strip)
        last = k == len(pages) - 1
        following = (8 if again else 0) if last else after + after % 2
        out += directory + struct.pack("<I", following) + strip
        out += bytes(len(out) % 2)
    return bytes(out)


def gif(rng: Rng) -> bytes:
    """A good picture of a kind that no scanner writes."""
    from PIL import Image

    buffer = io.BytesIO()
    Image.fromarray(rng.integers(0, 256, (40, 30)).astype(np.uint8)).save(buffer, "GIF")
    return buffer.getvalue()


# --- a good page of something else ------------------------------------------------------------
_OTHER = """\
title: The well of another class
page: A4
questions:
  - given: [U and V are 6 cm apart.]
    ask: [Draw the locus of points that are the same distance from U as from V.]
"""


def other_paper(rng: Rng) -> bytes:
    """A page of another paper, printed and scanned without a pencil stroke."""
    from millimark.paper.printing import print_paper
    from millimark.paper.raster import pdf_page
    from millimark.paper.reading import read_paper

    with tempfile.TemporaryDirectory(prefix="millimark-") as name:
        folder = Path(name)
        (folder / "paper.yaml").write_text(_OTHER, encoding="utf-8")
        print_paper(read_paper(folder / "paper.yaml"), folder, ["Nobody"])
        return jpeg(pdf_page(folder / "question-paper.pdf", 1, 200 / 25.4))


# --- places that hold no file -------------------------------------------------------------------
def link_nowhere(path: Path, rng: Rng) -> None:
    """A link to a file that is gone."""
    path.symlink_to("moved-away.jpg")


def link_round(path: Path, rng: Rng) -> None:
    """A link to itself."""
    path.symlink_to(path.name)


def link_to_folder(path: Path, rng: Rng) -> None:
    """A link to the folder in which it lies."""
    path.symlink_to(".", target_is_directory=True)


def pipe(path: Path, rng: Rng) -> None:
    """A pipe into which nobody writes."""
    os.mkfifo(path)


def locked(path: Path, rng: Rng) -> None:
    """A file that its owner may not read (root may: then it is noise)."""
    path.write_bytes(noise(rng))
    path.chmod(0)
