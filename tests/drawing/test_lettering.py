"""Letter sizes against an independent reader of the same font file (Pillow's FreeType)."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageFont

import millimark
from millimark.drawing import look
from millimark.drawing.canvas import Lettering
from millimark.drawing.lettering import CAP_HEIGHT, text_box, text_width, type_size
from millimark.plane.point import Point

FONT = Path(millimark.__file__).parent / "fonts" / "Andika-Regular.ttf"
ANDIKA = ImageFont.truetype(str(FONT), 1000)


def test_cap_height_is_the_fonts() -> None:
    assert -ANDIKA.getbbox("H", anchor="ls")[1] / 1000 == CAP_HEIGHT


@pytest.mark.parametrize("text", ["A", "W", "P′", "jq", "0123456789", "ABCDEFGHIJKLMNOPQRSTUVWXYZ",
                                  "abcdefghijklmnopqrstuvwxyz", " ,.:;-'()%°–…"])  # fmt: skip
def test_widths_are_the_fonts(text: str) -> None:
    widths = sum(ANDIKA.getlength(c) for c in text)  # without kerning
    assert text_width(text, CAP_HEIGHT) == pytest.approx(widths / 1000, abs=0.001 * len(text))


@pytest.mark.parametrize("text", [*"ABCDEFGHIJKLMNOPQRSTUVWXYZ", "g", "P′", "A1"])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_the_box_holds_the_ink(text: str, anchor: str) -> None:
    lettering = Lettering(3.5, "#000000", anchor=anchor)  # type: ignore[arg-type]
    box = text_box(text, Point(50.0, 40.0), lettering)
    k = type_size(3.5) / 1000
    x0, y0, x1, y1 = (v * k for v in ANDIKA.getbbox(text, anchor="ls"))
    shift = 50.0 - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(text, 3.5)
    assert box[0] <= shift + x0 + 0.02
    assert box[1] <= 40.0 + y0 + 0.02
    assert box[2] >= shift + x1 - 0.02
    assert box[3] >= 40.0 + y1 - 0.02


def test_line_weights_follow_iso_128_and_lettering_iso_3098() -> None:
    # Both series from memory: weights and heights by sqrt 2.
    weights = [look.HAIR, look.FINE, look.THIN, look.MEDIUM, look.BOLD, look.HEAVY]
    assert weights == [0.13, 0.18, 0.25, 0.35, 0.5, 0.7]
    assert [look.SMALL, look.BODY, look.LABEL, look.TITLE] == [1.8, 2.5, 3.5, 5.0]


def _luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("name", ["INK", "SLATE", "PLUM", "MOSS", "RUST", "STEEL"])
def test_text_colours_keep_wcag_contrast_on_white(name: str) -> None:
    # WCAG 2.2, 1.4.3: 4.5 to 1, by its definition of relative luminance (from memory).
    assert 1.05 / (_luminance(getattr(look, name)) + 0.05) >= 4.5
