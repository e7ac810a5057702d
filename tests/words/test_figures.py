"""Givens of every kind come out at the size that elementary geometry gives them."""

from __future__ import annotations

import math

import pytest
from tests.words.figures import FIGURES, Wanted

from millimark.errors import GivensError
from millimark.loci.figure import Figure
from millimark.words.reading import understand
from millimark.words.tokens import split_labels

CM = 1.0
DEGREE = 1.0


def measured(figure: Figure, name: str) -> float:
    """The length of a pair of labels in cm, or the angle of three in degrees."""
    at = [figure.points[label] for label in split_labels(name)]
    if len(at) == 2:
        return at[0].distance(at[1])
    u, w = at[0] - at[1], at[2] - at[1]
    return math.degrees(math.atan2(abs(u.cross(w)), u.dot(w)))


@pytest.mark.parametrize(
    ("given", "wanted"), FIGURES, ids=lambda v: v[0] if v and isinstance(v, tuple) else ""
)
def test_lengths_and_angles_come_out(given: tuple[str, ...], wanted: Wanted) -> None:
    figure = understand(given, []).figure
    for name, value in wanted.items():
        assert measured(figure, name) == pytest.approx(value, abs=1e-9), name


@pytest.mark.parametrize(
    ("given", "wanted"), FIGURES, ids=lambda v: v[0] if v and isinstance(v, tuple) else ""
)
def test_givens_are_written_back_with_the_same_figure(
    given: tuple[str, ...], wanted: Wanted
) -> None:
    once = understand(given, [])
    assert understand(once.canonical_given, []).figure == once.figure


IMPOSSIBLE = [
    (["Triangle PQR has sides 2 cm, 3 cm and 9 cm."], "longer than the third"),
    (["PQ = 2 cm, QR = 3 cm and PR = 9 cm."], "longer than the third"),
    (["Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 5 cm."], "longer than the third"),
    (["A and B are 8 cm apart.", "C is 2 cm from A and 3 cm from B."], "longer than the third"),
    (["AB = 8 cm.", "AB = 7 cm."], "cannot be both 8 cm and 7 cm"),
    (["Rectangle PQRS has PQ = 6 cm and RS = 5 cm."], "opposite sides"),
    (["Square ABCD has AB = 6 cm and BC = 5 cm."], "all sides of square ABCD are equal"),
    (["Triangle ABC has angles A and B are each 95°.", "AB = 4 cm."], "180°"),
    (["Triangle ABC has AB = 5 cm, angle A = 100° and angle B = 90°."], "180°"),
    (["Rectangle PQRS has PQ = 6 cm, QR = 4 cm and angle PQR = 80°."], "80°"),
    (["A and B are 0 cm apart."], "more than zero"),
    (["AA is 5 cm long."], "two different points"),
    (["Triangle PQQ has PQ = 3 cm."], "names a vertex twice"),
    (["Square ABC has side 3 cm."], "has 4 vertices"),
    (["AB = 8 cm.", "C is on AB and AC = 9 cm."], "on AB"),
    (["A and B are 8 cm apart.", "C is 4 cm from A."], "do not fix where C is"),
    (["A and B are 8 cm apart.", "C is a point."], "Nothing says where C is"),
    (["Triangle ABC has AB = 6 cm."], "C"),
    (["Triangle ABC has AB = 6 cm and BC = 5 cm."], "C"),
    (["A is at (0, 0).", "B is 5 cm from A."], "do not fix where B is"),
    (["AB = 8 cm.", "M is the midpoint of AB and AM = 3 cm."], "AM = 3 cm"),
    (["1 cm represents 2 km.", "1 cm represents 5 km."], "2 different scales"),
    (["0 cm represents 2 km.", "A is 4 km from B."], "above zero"),
    (["A circle has centre O and radius 0 cm."], "more than zero"),
    (["B is 5 cm from A on a bearing of 400°."], "400°"),
    (["AB = 6 cm and AB = ZZ."], "not Z twice"),
    (["AB = 6 cm.", "C is on the line AC so that AB = 6 cm."], "in two places"),
    (["B is 4 cm to the right of B."], "in two places"),
    (["A 0.000000001 cm by 4 cm rectangle PQRS."], "too short"),
    (["Trapezium ABCD has AB = 8 cm, BC = 1 cm, CD = 5 cm and DA = 1 cm."], "all of these hold"),
    (["C is on the circle.", "A and C are 4 cm apart."], "circle"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("given", "rule"), IMPOSSIBLE, ids=lambda v: v[0] if isinstance(v, list) else ""
)
def test_givens_that_no_figure_has_are_said_with_the_rule(given: list[str], rule: str) -> None:
    with pytest.raises(GivensError) as caught:
        understand(given, [])
    assert rule in str(caught.value)
    assert caught.value.hint


def test_sides_2_3_9_are_named_with_their_sum() -> None:
    with pytest.raises(GivensError, match=r"sides 2 cm, 3 cm and 9 cm: 2 \+ 3 = 5.*less than 9"):
        understand(["Triangle PQR has PQ = 2 cm, QR = 3 cm and PR = 9 cm."], [])


def test_the_first_line_runs_across_the_page_and_a_shape_turns_anticlockwise() -> None:
    points = understand(["Rectangle PQRS is 6 cm by 4 cm."], []).figure.points
    assert [tuple(round(c, 9) for c in points[v]) for v in "PQRS"] == [
        (0, 0), (6, 0), (6, 4), (0, 4),
    ]  # fmt: skip


def test_north_is_up() -> None:
    points = understand(
        ["B is 5 cm from A on a bearing of 090°.", "C is 2 cm north of A."], []
    ).figure.points
    assert points["B"] - points["A"] == pytest.approx((5, 0))
    assert points["C"] - points["A"] == pytest.approx((0, 2))


@pytest.mark.parametrize(("side", "sign"), [("above", 1), ("below", -1)])
def test_a_side_chooses_between_mirror_images(side: str, sign: int) -> None:
    given = ["A and B are 8 cm apart.", f"C is {side} AB, 5 cm from A and 5 cm from B."]
    assert understand(given, []).figure.points["C"] == pytest.approx((4, 3 * sign))


def test_an_angle_without_lengths_gets_arms_and_a_note() -> None:
    understood = understand(["Angle BAC is 50°."], [])
    assert measured(understood.figure, "BAC") == pytest.approx(50 * DEGREE)
    assert any("6 cm long" in note for note in understood.notes)


def test_lengths_are_real_under_a_scale() -> None:
    given = ["1 cm represents 2 km.", "A and B are 9 km apart."]
    understood = understand(given, ["Draw the locus of points 5 km from A."])
    assert understood.scale == pytest.approx(200_000)
    assert measured(understood.figure, "AB") == pytest.approx(4.5 * CM)
    assert understood.canonical_ask == ("Draw the locus of points that are 5 km from A.",)
