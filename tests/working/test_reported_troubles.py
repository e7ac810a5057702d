"""Troubles that came up between rooms and must not come back.

``_by_protractor`` let a ValueError (zero vector) reach the user where the bench had no space; a
perpendicular from a point stopped short of the line it is dropped on.
"""

from __future__ import annotations

import pytest

from millimark.errors import MillimarkError
from millimark.loci.solve import solve
from millimark.words.reading import understand
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

TRIANGLE = ["Triangle ABC has AB = 7 cm, BC = 6 cm and AC = 5 cm."]
ASKS = [
    (TRIANGLE, ["Draw the locus of points inside triangle ABC that are 1 cm from the triangle."]),
    (["A and B are 6 cm apart."], ["Draw the locus of points 2 cm from the line AB."]),
    (
        ["Rectangle ABCD has AB = 6 cm and BC = 4 cm."],
        ["Draw the locus of points 1 cm inside ABCD."],
    ),
]


@pytest.mark.parametrize(("given", "ask"), ASKS)
@pytest.mark.parametrize("room", [(17.0, 9.0), (8.0, 6.0), (4.0, 3.0), (1.0, 1.0)])
def test_a_plan_or_a_reason(given, ask, room):
    understood = understand(given, ask)
    answers = [solve(understood.figure, each) for each in understood.asks]
    assert _steps_or_hint(understood.figure, answers, room)


def _steps_or_hint(figure, answers, room):
    """Steps of a plan, or what its refusal says would help: something in either case."""
    try:
        return plan(figure, answers, Instruments(), room).steps
    except MillimarkError as error:
        return error.hint
