"""Everyday wordings of tied animals, ladders and wheels are read and solved."""

import pytest

from millimark.loci.solve import solve
from millimark.words.reading import understand

SHED = ["Rectangle PQRS has PQ = 6 cm and QR = 4 cm."]
APART = ["A and B are 8 cm apart."]

STORIES = [
    (
        SHED,
        [
            "Shade the region that can be reached by a goat tied to P with a rope 5 cm long outside the rectangle."
        ],
    ),
    (
        SHED,
        [
            "A goat is tied to P by a rope 5 cm long.",
            "Shade the region outside PQRS that the goat can reach.",
        ],
    ),
    (SHED, ["Shade the region outside PQRS that a dog on a rope 5 cm long fixed at P can reach."]),
    (
        SHED,
        [
            "Shade the region that can be reached with a rope of length 5 cm fixed at P, going round PQRS."
        ],
    ),
    (APART, ["Draw the locus of the midpoint of a ladder 6 cm long that slides down a wall."]),
    (APART, ["A ladder 6 cm long slides down a vertical wall.", "Draw the locus of its midpoint."]),
    (APART, ["Draw the locus of the centre of a circle of radius 1 cm that rolls along AB."]),
    (
        SHED,
        [
            "Draw the locus of the centre of a circle of radius 1 cm that rolls round the outside of PQRS."
        ],
    ),
    (
        SHED,
        ["Draw the locus of the centre of a coin of radius 1 cm rolling round the inside of PQRS."],
    ),
    (APART, ["Draw the locus of points P such that angle APB = 90°."]),
    (APART, ["Draw the locus of a point P so that AP + PB = 10 cm."]),
    (APART, ["Draw the locus of points P such that PA = 2PB."]),
    (APART, ["Draw the locus of points P such that PA = PB."]),
]


@pytest.mark.parametrize(("given", "ask"), STORIES)
def test_everyday_stories_are_read_and_solved(given, ask):
    understood = understand(given, ask)
    answers = [solve(understood.figure, each) for each in understood.asks]
    assert all(answer.curves or answer.region for answer in answers)
