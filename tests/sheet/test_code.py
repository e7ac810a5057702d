"""The page code: read back, refused when damaged, check characters as ISO/IEC 7064 has them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millimark.sheet.code import PageCode, check_characters, decode, encode, paper_id_of, sheet_code

PAPER_IDS = st.text("0123456789ABCDEFGHJKMNPQRSTVWXYZ", min_size=6, max_size=6)
CODES = st.builds(
    encode,
    PAPER_IDS,
    st.integers(1, 9999).map(sheet_code),
    st.integers(1, 99),
)


def test_the_standards_own_example_gets_its_check_characters() -> None:
    # ISO/IEC 7064, MOD 1271-36: 'ISO79' is completed to 'ISO793W' (from memory).
    assert check_characters("ISO79") == "3W"


@given(PAPER_IDS, st.integers(1, 9999), st.integers(1, 99))
def test_what_is_written_is_read_back(paper_id: str, number: int, page: int) -> None:
    sheet = sheet_code(number)
    assert decode(encode(paper_id, sheet, page)) == PageCode(paper_id, sheet, page)


@given(CODES, st.data())
def test_a_single_wrong_character_is_noticed(code: str, data: st.DataObject) -> None:
    places = [i for i, c in enumerate(code) if c != "-"]
    i = data.draw(st.sampled_from(places))
    other = data.draw(
        st.sampled_from("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ").filter(lambda c: c != code[i])
    )
    assert decode(code[:i] + other + code[i + 1 :]) is None


@given(CODES, st.data())
def test_a_swap_of_neighbours_is_noticed(code: str, data: st.DataObject) -> None:
    body = code.replace("-", "")
    i = data.draw(st.integers(0, len(body) - 2).filter(lambda k: body[k] != body[k + 1]))
    swapped = body[:i] + body[i + 1] + body[i] + body[i + 2 :]
    text = f"{swapped[:6]}-{swapped[6:11]}-{swapped[11:13]}-{swapped[13:]}"
    assert decode(text) is None


@pytest.mark.parametrize("text", ["", "hello", "https://example.org", "7K2QXW-S0001-01"])
def test_other_texts_are_no_page_code(text: str) -> None:
    assert decode(text) is None


@pytest.mark.parametrize("number", [0, 10_000])
def test_sheets_beyond_four_digits_are_refused(number: int) -> None:
    with pytest.raises(ValueError, match="outside 1 to 9999"):
        sheet_code(number)


def test_a_name_that_does_not_fit_its_place_makes_no_code() -> None:
    with pytest.raises(ValueError, match="do not make a page code"):
        encode("SHORT", "S0001", 1)


def test_the_paper_id_follows_the_content_and_not_the_order_of_keys() -> None:
    assert paper_id_of({"a": 1, "b": 2}) == paper_id_of({"b": 2, "a": 1})
    assert paper_id_of({"a": 1}) != paper_id_of({"a": 2})


def test_the_code_fits_a_version_2_level_q_symbol() -> None:
    # 29 alphanumeric characters: ISO/IEC 18004, table of capacities, from memory.
    assert len(encode("7K2QXW", "S0001", 1)) <= 29
