"""The film, where the encoder is installed: its frames are those of the demonstration."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import cv2
import pytest
from tests.showing.conftest import Shown

from millimark.errors import SourceError
from millimark.showing.film import film


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
