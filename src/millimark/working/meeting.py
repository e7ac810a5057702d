"""Where lines and circles cross, as a hand reads it off, and which crossing is which.

Lines count as running on past their ink, arcs as whole circles: whether the ink reaches
the crossing is the planner's duty and the tests' business.
"""

from __future__ import annotations

import math

from millimark.plane.curves import Arc, Segment
from millimark.plane.point import EPS, Point


def crossings(one: Arc | Segment, two: Arc | Segment) -> tuple[Point, ...]:
    """Empty where they do not meet; a tangency gives its place once or twice."""
    if isinstance(one, Arc) and isinstance(two, Arc):
        return _two_circles(one, two)
    if isinstance(one, Segment) and isinstance(two, Segment):
        return _two_lines(one, two)
    line, circle = (one, two) if isinstance(one, Segment) else (two, one)
    if isinstance(line, Segment) and isinstance(circle, Arc):
        return _line_circle(line, circle)
    raise TypeError("only lines and circles cross on the bench")


def side_of(one: Arc | Segment, two: Arc | Segment, at: Point) -> int:
    """The ``side`` of ``acts.Crossing`` that tells the crossing at ``at`` from the other."""
    if isinstance(one, Arc) and isinstance(two, Arc):
        way = two.centre - one.centre
        return 1 if way.cross(at - one.centre) >= 0 else -1
    if isinstance(one, Segment) and isinstance(two, Segment):
        return 0
    line, circle = (one, two) if isinstance(one, Segment) else (two, one)
    if isinstance(line, Segment) and isinstance(circle, Arc):
        return 1 if (at - circle.centre).dot(line.direction) >= 0 else -1
    raise TypeError("only lines and circles cross on the bench")


def _two_circles(one: Arc, two: Arc) -> tuple[Point, ...]:
    way = two.centre - one.centre
    d = way.norm()
    if d < EPS:
        return ()
    along = (d * d + one.radius**2 - two.radius**2) / (2 * d)
    h2 = one.radius**2 - along * along
    if h2 < -EPS * max(1.0, one.radius):
        return ()
    h = math.sqrt(max(h2, 0.0))
    foot, left = one.centre + way * (along / d), way.left() * (h / d)
    return (foot + left, foot - left)


def _line_circle(line: Segment, circle: Arc) -> tuple[Point, ...]:
    ahead = line.direction
    foot = line.a + ahead * (circle.centre - line.a).dot(ahead)
    h2 = circle.radius**2 - (foot - circle.centre).dot(foot - circle.centre)
    if h2 < -EPS * max(1.0, circle.radius):
        return ()
    h = math.sqrt(max(h2, 0.0))
    return (foot + ahead * h, foot - ahead * h)


def _two_lines(one: Segment, two: Segment) -> tuple[Point, ...]:
    u, v = one.direction, two.direction
    turn = u.cross(v)
    if abs(turn) < 1e-12:
        return ()
    return (one.a + u * ((two.a - one.a).cross(v) / turn),)
