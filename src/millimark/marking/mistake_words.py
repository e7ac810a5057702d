"""What each misconception is called, how it is told, and what to practise against it.

Common practice, no source, but for two that examiners report: a perpendicular through the
midpoint instead of the point (June 2021), and 328 for 332 (March 2015).
"""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """``text`` of the fault; its ``title`` and ``advice`` for the class; ``practice`` for one."""

    text: str
    title: str
    advice: str
    practice: str


MISTAKES: dict[str, Words] = {
    "through-midpoint": Words(
        "This is the perpendicular bisector: the line goes through the midpoint, not through the "
        "point that the question names.",
        "The perpendicular bisector drawn for a perpendicular",
        "Set the needle on the named point first: both marks on the line must be at the same "
        "distance from it.",
        "Set the needle on the named point and strike both marks on the line from there. Then "
        "check with a set square that your line goes through that point.",
    ),
    "misses-point": Words(
        "The line has the right direction but misses the point that it has to go through.",
        "A line that misses its point",
        "Rule through the named point and the crossing of the arcs, both of them.",
        "Put the ruler's edge on the named point first, then turn it to the crossing.",
    ),
    "parallel-drawn": Words(
        "The line is parallel to the given line; a perpendicular meets it at a right angle.",
        "A parallel drawn for a perpendicular",
        "Let the class show both with two pencils and say the words before they draw.",
        "Say what the word means, then hold your ruler on the paper both ways before you draw.",
    ),
    "perpendicular-drawn": Words(
        "The line meets the given line at a right angle; a parallel never meets it.",
        "A perpendicular drawn for a parallel",
        "Let the class show both with two pencils and say the words before they draw.",
        "Say what the word means, then hold your ruler on the paper both ways before you draw.",
    ),
    "sixty-drawn": Words(
        "The angle is 60° where a right angle is asked: one opening of the compasses makes 60°.",
        "60° drawn for 90°",
        "Three equal arcs give 60° and 120°: the right angle is the bisector between them.",
        "Construct 60°, go on to 120°, and bisect between the two.",
    ),
    "wrong-scale": Words(
        "The protractor was read on its other scale: the angle is 180° less what is asked.",
        "The protractor's other scale",
        "Say first whether the angle is acute or obtuse, and count up from the 0 on the arm.",
        "Before you measure, decide: more or less than a right angle? Then count from the zero "
        "that lies on the arm.",
    ),
    "counted-back": Words(
        "The degrees beyond the label were counted the wrong way: 328 for 332.",
        "Counted from the label the wrong way",
        "Let the class touch the label below, then count on in the direction in which the "
        "labels grow.",
        "Find the labels on both sides of your angle, and count up from the smaller one.",
    ),
    "bearing-reversed": Words(
        "The bearing is reversed: it points from the other place to this one.",
        "A bearing reversed",
        "Underline the word after 'from': the north line stands there.",
        "Put your finger on the place after the word 'from' and draw the north line there.",
    ),
    "bearing-anticlockwise": Words(
        "The bearing was turned anticlockwise; bearings are turned clockwise from north.",
        "A bearing turned anticlockwise",
        "Stand facing north and turn with the clock, arm stretched out.",
        "Draw the arrow of the turn first, from north with the clock, then measure along it.",
    ),
    "bearing-from-east": Words(
        "The bearing was measured from east; bearings are measured from north.",
        "A bearing measured from east",
        "Begin every bearing with the north line, then lay the protractor's zero on it.",
        "Draw the north line first and lay the protractor's zero on it.",
    ),
    "scale-ignored": Words(
        "The number in the question was drawn as centimetres: the scale was not used.",
        "The scale not used",
        "Write both lengths side by side, the real one and the one on paper, before drawing.",
        "Write down for every length: so much in reality, so many centimetres on paper.",
    ),
    "scale-inverted": Words(
        "The scale was multiplied where it has to be divided.",
        "The scale used the wrong way round",
        "Ask whether the length on paper must be more or fewer centimetres than the number.",
        "Guess first whether it fits on the page; then work out the length and compare.",
    ),
    "one-centre": Words(
        "Both sides were struck from the same end; each belongs to its own end.",
        "Both sides from one end",
        "Name the end of each side aloud before the needle goes down.",
        "Write each length next to the end it starts from, before you open the compasses.",
    ),
    "sides-swapped": Words(
        "The two sides are swapped: each was struck from the other's end.",
        "The two sides swapped",
        "Sketch the triangle first with its letters and lengths.",
        "Make a small sketch with letters and lengths, and look at it before every arc.",
    ),
    "one-vertex": Words(
        "Both angles were drawn at the same end; each belongs to its own end.",
        "Both angles at one end",
        "Sketch the triangle first with its letters and angles.",
        "Make a small sketch with letters and angles, and look at it before each angle.",
    ),
    "rope-through": Words(
        "The circle goes on past the corner, as if the rope went through the wall: there it bends, "
        "and what is left of it turns about the corner.",
        "A rope drawn through the wall",
        "Tie a string to a box and walk round it: at each corner the string bends and gets "
        "shorter.",
        "Find the corner that the rope touches, take the wall off its length, and draw the next "
        "arc about that corner.",
    ),
    "ruler-end": Words(
        "All lengths are off by the same amount: the ruler was read from its end, not its zero.",
        "The ruler read from its end",
        "Let the class find the zero of their ruler: it is not the end.",
        "Find the zero mark of your ruler. Set the needle on it, never on the end.",
    ),
    "parallax": Words(
        "All lengths are a little off to the same side: the ruler was perhaps read at a slant.",
        "Lengths read at a slant",
        "Look straight down at the mark, with one eye closed.",
        "Look straight down at the mark when you set a length.",
    ),
    "polygonal": Words(
        "The curve is made of straight pieces: an arc is drawn with compasses.",
        "Straight pieces for an arc",
        "Points at one distance from a point lie on a circle: use the compasses.",
        "Find the point that all of it is the same distance from, set the needle there, and "
        "draw it in one turn.",
    ),
}
"""Code -> words. `faults` names the last five; the others are known to `loci.mistaken`."""
