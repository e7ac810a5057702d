"""The film, where the encoder is installed: its frames are those of the demonstration."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from tests.showing.conftest import Shown

from millimark.errors import SourceError
from millimark.showing.film import _pictures, film


def test_a_film_has_every_frame_and_moves(shown: dict[str, Shown], tmp_path: Path) -> None:
    """Read back by OpenCV's own decoder."""
    pytest.importorskip("imageio_ffmpeg", reason="the extra millimark[film] is not installed")
    _, stage, score = shown["2"]
    short = replace(score, length=2.0)
    path = film(stage, short, tmp_path / "film.mp4", rate=5)
    video = cv2.VideoCapture(str(path))
    frames = []
    while True:
        there, picture = video.read()
        if not there:
            break
        frames.append(picture)
    assert len(frames) == 11
    x0, y0, x1, y1 = stage.box
    height, width = frames[0].shape[:2]
    assert width / height == pytest.approx((x1 - x0) / (y1 - y0), rel=0.01)
    assert cv2.absdiff(frames[0], frames[-1]).max() > 100


def test_ink_grows_in_one_piece(shown: dict[str, Shown]) -> None:
    """As the film's renderer draws it: half a line is one unbroken stroke of half its length."""
    _, stage, score = shown["1"]
    line = next(ink for ink in score.inks if ink.role == "answer")
    still = replace(score, tracks={}, inks=[line], marks=[])
    png = next(_pictures(stage, replace(still, length=0.0), 1, 1, None))
    blank = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_GRAYSCALE)
    half = replace(still, inks=[replace(line, start=-1.0, end=1.0)], length=0.0)
    png = next(_pictures(stage, half, 1, 1, None))
    inked = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_GRAYSCALE)
    changed = (cv2.absdiff(blank, inked) > 40).astype(np.uint8)
    count, _, sizes, _ = cv2.connectedComponentsWithStats(changed, connectivity=8)
    assert count == 2  # the ground and one stroke
    _, y0, _, y1 = stage.box
    px_per_mm = inked.shape[0] / (y1 - y0)
    length = max(sizes[1][cv2.CC_STAT_WIDTH], sizes[1][cv2.CC_STAT_HEIGHT]) / px_per_mm
    assert length == pytest.approx(line.curve.length / 2, abs=0.6)


def test_without_the_encoder_it_says_what_to_install(
    shown: dict[str, Shown], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    _, stage, score = shown["2"]
    with pytest.raises(SourceError, match="encoder that is not installed"):
        film(stage, score, tmp_path / "film.mp4")


def test_a_folder_that_is_not_there_is_told(shown: dict[str, Shown], tmp_path: Path) -> None:
    pytest.importorskip("imageio_ffmpeg", reason="the extra millimark[film] is not installed")
    _, stage, score = shown["2"]
    with pytest.raises(SourceError, match="could not write"):
        film(stage, replace(score, length=0.3), tmp_path / "no" / "film.mp4", rate=5)
