"""Each hostile file is what its kind says, checked with other people's readers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, UnidentifiedImageError

from millimark.errors import MillimarkError
from millimark.rehearsal.hostile import KINDS, PAGE_TWICE, add_hostile_files


def made(kind: str, folder: Path) -> Path:
    [line] = add_hostile_files(folder, np.random.default_rng(3), kinds=[kind])
    assert line["kind"] == kind
    return folder / line["file"]


def test_one_of_each_by_default(tmp_path: Path):
    lines = add_hostile_files(tmp_path, np.random.default_rng(3))
    assert [line["kind"] for line in lines] == list(KINDS)  # and no page to give twice
    assert {p.name for p in tmp_path.iterdir()} == {line["file"] for line in lines}


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
