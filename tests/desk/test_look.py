"""The screens' colours keep the contrast that WCAG 2.2 asks for, and the page says what it serves.

Relative luminance and contrast ratio: WCAG 2.2, definitions (quoted from memory)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from millimark.desk import phones, waiting
from millimark.desk.application import routes
from millimark.desk.openapi import described
from millimark.desk.serving import served
from millimark.drawing import look
from millimark.drawing.screen import DARK, LIGHT
from millimark.records import oneroster

WORDS = ("ink", "slate", "plum", "moss", "rust", "steel")


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_black_on_white_is_21() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "ground", "straw"])
@pytest.mark.parametrize("word", WORDS)
def test_words_keep_their_contrast(colours: dict[str, str], ground: str, word: str) -> None:
    assert contrast(colours[word], colours[ground]) >= 4.5
    assert contrast(colours["on-plum"], colours["plum"]) >= 4.5


def test_edges_of_fields_are_seen() -> None:
    for colours in (LIGHT, DARK):  # WCAG 2.2, 1.4.11: 3:1
        assert contrast(colours["slate"], colours["paper"]) >= 3.0


def test_light_is_the_papers_own_look() -> None:
    assert LIGHT["plum"] == look.PLUM
    assert LIGHT["ink"] == look.INK


def test_styles_name_only_colours_that_there_are() -> None:
    used = set(re.findall(r"var\(--([a-z-]+)\)", served()["desk.css"].decode()))
    assert used <= set(LIGHT) == set(DARK)


def test_nothing_served_asks_another_machine() -> None:
    for name in ("desk.css", "desk.js"):
        assert b"http" not in served()[name]


def test_the_page_about_the_desk_speaks_of_its_pages_and_limits() -> None:
    text = (Path(__file__).parents[2] / "docs" / "desk.md").read_text(encoding="utf-8")
    for word in (
        "Papers",
        "Bank",
        "Constructions",
        "Print",
        "Mark",
        "Review",
        "Class grid",
        "Classes",
    ):
        assert f"| {word} |" in text
    for route in routes():
        assert route.methods in ({"GET", "HEAD"}, {"POST"})
    for word in ("--host", "--set-password", "--name", "1 MB", "20 MB", "400 MB", "12 hours"):
        assert word in text


def test_the_page_about_the_desk_tells_its_numbers_for_phones_guessers_and_programs() -> None:
    text = (Path(__file__).parents[2] / "docs" / "desk.md").read_text(encoding="utf-8")
    told = re.sub(r"\s+", " ", text)
    first, lesson, long = phones.MINUTES
    for words in (
        f"for {first}, {lesson} or {long} minutes",
        f"At most {phones.MOST_PHONES} phones",
        f"at most {phones.A_MINUTE} photographs a minute, {phones.MOST_PHOTOGRAPHS} in all",
        f"{phones.PHOTOGRAPH_BYTES // 1_000_000} MB each",
        f"have {waiting.STRANGERS_AT_ONCE} tries",
        f"and one more every {waiting.STRANGERS_EVERY:.0f} seconds",
        f"{oneroster.MOST_BYTES // 1_000_000} MB or {oneroster.MOST_ROWS:,} lines",
    ):
        assert words in told, words
    for path in described()["paths"]:
        assert path in text, path
