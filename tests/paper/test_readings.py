"""Readings: the value, the band that counts, the answer line, and where it stands."""

from __future__ import annotations

import pytest

from millimark.paper.question import Paper
from millimark.paper.question_pages import plan_paper, question_sheets
from millimark.paper.reading import paper_from_data

SIDES = "Triangle ABC has AB = 8 cm, BC = 7 cm and AC = 6 cm."
MAP = ["1 cm represents 2 km.", "B is 14 km from A on a bearing of 070°.",
       "C is 10 km from A on a bearing of 130°."]  # fmt: skip


def paper(given: list[str], ask: list[str], **more: object) -> Paper:
    return paper_from_data({"title": "One", "questions": [{"given": given, "ask": ask, **more}]})


@pytest.mark.parametrize(
    ("given", "ask", "told", "band"),
    [
        ([SIDES], "Measure the length of AB.", "8.0 cm", "7.9 cm to 8.1 cm"),
        # by the law of cosines: (64 + 49 - 36) / (2 * 8 * 7) = 0.6875, 46.57 degrees
        ([SIDES], "Measure the size of angle ABC.", "47°", "46° to 48°"),
        # A to B 7 cm at 70°, A to C 5 cm at 130°: B to C points (-2.75, -5.61), 206.1°
        (MAP, "Measure the bearing of C from B.", "206°", "205° to 207°"),
        # the foot of C on AB: 10 km times sin 60°
        (MAP, "Measure the shortest distance from C to AB.", "8.7 km", "8.5 km to 8.9 km"),
    ],
)
def test_a_reading_counts_within_a_millimetre_or_a_degree(
    given: list[str], ask: str, told: str, band: str
) -> None:
    """Readings of ±1 mm and ±1°: published mark schemes, read."""
    (asked,) = paper(given, [ask]).questions
    (reading,) = asked.readings
    assert (reading.told, reading.band) == (told, band)
    (mark,) = asked.scheme
    assert (mark.code, mark.kind, asked.marks) == ("B1", "reading", 1)
    assert told in mark.text


def test_what_is_drawn_first_is_read_with_the_drawings_tolerance() -> None:
    asks = [
        "Construct the perpendicular from C to AB.",
        "Measure the shortest distance from C to AB.",
    ]
    (asked,) = paper([SIDES], asks).questions
    assert [c.kind for c in asked.scheme] == ["evidence", "line", "reading"]
    (reading,) = asked.readings
    assert reading.high - reading.value == pytest.approx(0.2)


def test_own_criteria_speak_of_the_reading() -> None:
    scheme = ["B1 the length of AB"]
    (asked,) = paper([SIDES], ["Measure the length of AB."], scheme=scheme).questions
    assert [c.kind for c in asked.scheme] == ["reading"]


def test_each_reading_has_a_line_of_its_own_clear_of_the_map_marks() -> None:
    asked = paper(
        MAP, ["Measure the bearing of C from B.", "Measure the shortest distance from C to AB."]
    )
    plan = plan_paper(asked, "AAAAAA")
    (drawn,) = plan.drawn
    (place,) = question_sheets([plan], [None])[0].pages[0].questions
    boxes = place.answer_lines
    assert [line.box for line in drawn.lines] == [pytest.approx(b) for b in boxes]
    assert boxes[0][3] < boxes[1][1]  # one under the other
    x0, y0, x1, y1 = place.frame_mm
    assert all(x0 < b[0] < b[2] < x1 and y0 < b[1] < b[3] < y1 for b in boxes)
    assert drawn.marks.boxes
    assert all(box[3] < boxes[0][1] for box in drawn.marks.boxes)
    assert all(y < boxes[0][1] for _, y in place.points.values())
