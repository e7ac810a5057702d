"""The way a hand goes: a working turned so that a left or a right hand draws it at ease.

A right hand rules from left to right and swings the compasses clockwise; a left hand the
other way (common practice, no source). The ink is the same.
"""

from __future__ import annotations

from dataclasses import replace

from millimark.plane.point import Point
from millimark.working.acts import Act, RuleLine, StrikeArc, Working


def for_hand(working: Working, left_handed: bool) -> Working:
    """The same working, each line and arc run in the direction that suits the hand."""
    steps = tuple(
        replace(step, acts=tuple(_turned(act, left_handed) for act in step.acts))
        for step in working.steps
    )
    return replace(working, steps=steps)


def _turned(act: Act, left_handed: bool) -> Act:
    if isinstance(act, StrikeArc):
        if act.arc.is_whole:
            return act  # a whole circle goes either way
        clockwise = act.arc.sweep < 0
        return act if clockwise != left_handed else replace(act, arc=act.arc.reversed())
    if isinstance(act, RuleLine):
        rightwards = _comes_first(act.segment.a, act.segment.b)
        same = rightwards != left_handed
        return act if same else replace(act, segment=act.segment.reversed())
    return act


def _comes_first(a: Point, b: Point) -> bool:
    """Whether ``a`` comes before ``b`` from left to right, then from top to bottom."""
    return (a.x, -a.y) <= (b.x, -b.y)
