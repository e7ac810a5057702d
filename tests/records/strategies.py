"""Invented class lists for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from millimark.records.class_lists import LONGEST, Listed

_letters = st.characters(
    categories=("L", "N", "P", "S"), exclude_characters="\u2028\u2029", codec="utf-8"
)
words = st.text(_letters, min_size=1, max_size=LONGEST // 2).filter(str.isprintable)
names = st.lists(words, min_size=1, max_size=3).map(" ".join).filter(lambda n: len(n) <= LONGEST)


@st.composite
def _class_lists(draw: st.DrawFn) -> list[Listed]:
    numbers = draw(st.lists(words, min_size=1, max_size=12, unique=True))
    called = draw(st.lists(names, min_size=len(numbers), max_size=len(numbers), unique=True))
    kept = draw(st.lists(st.booleans(), min_size=len(numbers), max_size=len(numbers)))
    return [
        Listed(number, name if keep else None)
        for number, name, keep in zip(numbers, called, kept, strict=True)
    ]


class_lists = _class_lists()
