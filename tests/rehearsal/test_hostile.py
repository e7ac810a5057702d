"""Each hostile file is what its kind says, checked with other people's readers."""

from __future__ import annotations

import os
import zlib
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, UnidentifiedImageError

from millimark.errors import MillimarkError
from millimark.rehearsal.hostile import PAGE_TWICE, add_hostile_files, kinds


def made(kind: str, folder: Path) -> Path:
    [line] = add_hostile_files(folder, np.random.default_rng(3), kinds=[kind])
    assert line["kind"] == kind
    return folder / line["file"]


def test_one_of_each_by_default(tmp_path: Path):
    lines = add_hostile_files(tmp_path, np.random.default_rng(3))
    assert [line["kind"] for line in lines] == kinds()  # and no page to give twice
    there = {os.fsencode(p.name).decode("utf-8", "replace") for p in tmp_path.iterdir()}
    assert len(there) == len(lines)
    assert sum(line["file"] in there for line in lines) >= len(lines) - 1  # one is no Unicode


@pytest.mark.parametrize("kind", ["text", "noise", "empty", "renamed"])
def test_what_is_no_image(kind: str, tmp_path: Path):
    with pytest.raises(UnidentifiedImageError), Image.open(made(kind, tmp_path)):
        pass


def test_a_truncated_jpeg_opens_and_does_not_load(tmp_path: Path):
    with Image.open(made("truncated", tmp_path)) as picture, pytest.raises(OSError, match="trunc"):
        picture.load()


def test_the_bomb_promises_too_much(tmp_path: Path):
    path = made("bomb", tmp_path)
    assert path.stat().st_size < 10_000
    with pytest.raises(Image.DecompressionBombError), Image.open(path):
        pass


def test_what_unpacks_is_small(tmp_path: Path):
    """Outside reader: qpdf's library unpacks the streams."""
    path = made("stream-bomb", tmp_path)
    assert path.stat().st_size < 300_000
    with pikepdf.open(path) as pdf:
        assert len(pdf.pages[0].Resources.XObject.X.read_bytes()) == 300_000_000
    path = made("contents-bomb", tmp_path)
    assert path.stat().st_size < 300_000
    with pikepdf.open(path) as pdf:
        once = zlib.decompress(pdf.pages[0].Contents.read_raw_bytes())
        assert len(once) > 500_000
        assert zlib.decompressobj().decompress(once, 100_000).count(b"l S") > 5_000
    assert made("text-bomb", tmp_path).stat().st_size < 1_000_000


def test_tiffs(tmp_path: Path):
    with Image.open(made("tiff-frames", tmp_path)) as film:
        assert film.n_frames == 6_000  # type: ignore[attr-defined]
    with pytest.raises(Image.DecompressionBombError), Image.open(made("tiff-bomb", tmp_path)):
        pass
    with pytest.raises(Image.DecompressionBombError), Image.open(made("jpeg-bomb", tmp_path)):
        pass


@pytest.mark.skipif(os.name != "posix", reason="links and pipes of other systems differ")
def test_places_that_are_no_files(tmp_path: Path):
    assert not made("link-nowhere", tmp_path).exists()
    with pytest.raises(OSError, match="symbolic links"):
        made("link-round", tmp_path).stat()
    assert made("link-to-folder", tmp_path).resolve() == tmp_path.resolve()
    assert made("pipe", tmp_path).is_fifo()
    assert made("locked", tmp_path).stat().st_mode & 0o777 == 0


def test_pdfs_wound_round_themselves(tmp_path: Path):
    with pikepdf.open(made("form-loop", tmp_path)) as pdf:
        form = pdf.pages[0].Resources.XObject.X
        assert form.Resources.XObject.X.objgen == form.objgen
    with pikepdf.open(made("many-pages", tmp_path)) as pdf:
        assert int(pdf.Root.Pages.Count) == 2_000_000_000
        assert len(pdf.pages) == 1


def test_pdfs(tmp_path: Path):
    with pytest.raises(pikepdf.PasswordError), pikepdf.open(made("encrypted", tmp_path)):
        pass
    with pikepdf.open(made("no-pages", tmp_path)) as pdf:
        assert len(pdf.pages) == 0
    with pikepdf.open(made("huge-page", tmp_path)) as pdf:
        assert float(pdf.pages[0].mediabox[2]) > 10_000


@pytest.mark.parametrize("kind", ["photograph", "blank-sheet"])
def test_pictures_of_something_else(kind: str, tmp_path: Path):
    with Image.open(made(kind, tmp_path)) as picture:
        picture.load()
        assert picture.format == "JPEG"


def test_a_page_twice(tmp_path: Path):
    (tmp_path / "scan-0001.jpg").write_bytes(b"a scan")
    assert made(PAGE_TWICE, tmp_path).read_bytes() == b"a scan"


def test_an_unknown_kind_is_refused_by_name(tmp_path: Path):
    with pytest.raises(MillimarkError, match="'mould'"):
        add_hostile_files(tmp_path, np.random.default_rng(3), kinds=["mould"])
