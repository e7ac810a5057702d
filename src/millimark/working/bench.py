"""The bench: instruments on paper, doing acts one after another.

A construction is written as what it tells the bench to do. The bench works out where
each mark falls *from the acts alone*, writes the acts down, and does no act twice: an arc
about the same point with the same opening, a line through the same two points, or a
mark where one already is, is used again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from millimark.errors import PlanError
from millimark.loci.figure import Figure
from millimark.plane.curves import Arc, Segment
from millimark.plane.point import Point
from millimark.working.acts import (
    Act,
    AlignProtractor,
    Anywhere,
    Crossing,
    Fix,
    Ink,
    MarkPoint,
    PrintedLine,
    Role,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)
from millimark.working.bounds import Box
from millimark.working.instruments import Instruments
from millimark.working.meeting import crossings, side_of

SAME = 1e-7
"""cm: marks closer than this are one mark to a hand."""

LETTERS = "XYZTUVWKLMNDEFGHJIOPQRSABC"


class Bench:
    """A sheet of paper with the figure on it, and the instruments.

    ``points`` and ``inks`` grow with the acts; ``room`` is where ink may go. ``arcs``: the
    method must show construction arcs (the paper's profile).
    """

    def __init__(
        self, figure: Figure, instruments: Instruments, room: Box, arcs: bool = True
    ) -> None:
        self.figure = figure
        self.instruments = instruments
        self.room = room
        self.arcs = arcs
        self.points: dict[str, Point] = dict(figure.points)
        self.inks: dict[str, Arc | Segment] = {}
        self.acts: list[Act] = []
        self.opening: float | None = None
        self._wanted: SetCompasses | None = None
        self._taken = 0

    # --- compasses --------------------------------------------------------------------
    def open_to(self, radius: float, caption: str, between: tuple[str, str] | None = None) -> None:
        """Have the compasses open at ``radius`` for the arcs that follow. The act is done
        with the first arc that is struck: none where they stand so already."""
        self._within_reach(radius)
        self._wanted = SetCompasses(radius, between, caption)

    def _open(self) -> None:
        wanted = self._wanted
        if wanted is None or (
            self.opening is not None and abs(self.opening - wanted.radius) < SAME
        ):
            return
        self.acts.append(wanted)
        self.opening = wanted.radius

    def open_between(self, a: str, b: str, caption: str) -> None:
        """Open the compasses to the distance between two marks."""
        self.open_to(self.points[a].distance(self.points[b]), caption, (a, b))

    def _within_reach(self, radius: float) -> None:
        least, most = self.instruments.compasses_min_cm, self.instruments.compasses_cm
        if radius > most + SAME:
            raise PlanError(
                f"An arc of radius {cm(radius)} is needed, and the compasses open to {cm(most)}.",
                f"Use compasses that open to {cm(radius)}, or lengths of at most {cm(most)}.",
            )
        if radius < least - SAME:
            raise PlanError(
                f"An arc of radius {cm(radius)} is needed, and the compasses close to {cm(least)}.",
                f"Ask for a length of at least {cm(least)}, or enlarge the drawing.",
            )

    def strike(self, centre: str, from_: float, sweep: float, role: Role, caption: str) -> str:
        """Strike an arc with the present opening; the name of the ink that shows it."""
        arc = Arc(self.points[centre], self._radius(), from_, sweep)
        for name, ink in self.inks.items():
            if isinstance(ink, Arc) and _covers(ink, arc) and self._role(name) == role:
                return name
        name = f"arc {1 + sum(isinstance(i, Arc) for i in self.inks.values())}"
        self._open()
        self.acts.append(StrikeArc(centre, arc, role, caption, name))
        self.inks[name] = arc
        return name

    def strike_at(self, centre: str, towards: Point, caption: str, half_cm: float = 0.9) -> str:
        """Strike a short construction arc whose middle lies in the direction of ``towards``."""
        half = short_span(self._radius(), half_cm)
        middle = (towards - self.points[centre]).angle()
        return self.strike(centre, middle - half, 2 * half, "construction", caption)

    def _radius(self) -> float:
        if self._wanted is None:
            raise ValueError("the compasses have not been set")
        return self._wanted.radius

    def _role(self, name: str) -> Role:
        for act in self.acts:
            if isinstance(act, StrikeArc | RuleLine) and act.name == name:
                return act.role
        raise KeyError(name)

    # --- ruler --------------------------------------------------------------------------
    def rule(self, a: str, b: str, t0: float, t1: float, role: Role, caption: str) -> str:
        """Rule a line through ``a`` and ``b`` from ``t0`` to ``t1`` cm from ``a`` towards ``b``."""
        start, ahead = self.points[a], (self.points[b] - self.points[a]).unit()
        segment = Segment(start + ahead * t0, start + ahead * t1)
        for name, ink in self.inks.items():
            if (
                isinstance(ink, Segment)
                and ink.distance_to(segment.a) < SAME
                and ink.distance_to(segment.b) < SAME
                and self._role(name) == role
            ):
                return name
        if t1 - t0 > self.instruments.ruler_cm + SAME:
            raise PlanError(
                f"A line {cm(t1 - t0)} long is needed, and the ruler is "
                f"{cm(self.instruments.ruler_cm)} long.",
                "Use a longer ruler or a smaller figure.",
            )
        name = f"line {1 + sum(isinstance(i, Segment) for i in self.inks.values())}"
        self.acts.append(RuleLine((a, b), segment, role, caption, name))
        self.inks[name] = segment
        return name

    # --- marks ---------------------------------------------------------------------------
    def cross(
        self, first: Ink, second: Ink, near: Point, caption: str = "", shown: bool = False
    ) -> str:
        """Mark the crossing of two inks that lies nearest to ``near``."""
        one, two = self.ink(first), self.ink(second)
        places = crossings(one, two)
        if not places:
            raise PlanError(
                f"{first} and {second} do not cross.", "Choose other lengths for the figure."
            )
        at = min(places, key=near.distance)
        return self._mark(at, Crossing(first, second, side_of(one, two, at)), caption, shown)

    def step(self, start: str, towards: str, length: float, caption: str, shown: bool) -> str:
        """Mark the place ``length`` cm from ``start`` towards ``towards``, by the ruler."""
        ahead = (self.points[towards] - self.points[start]).unit()
        at = self.points[start] + ahead * length
        return self._mark(at, Step(start, towards, length), caption, shown)

    def anywhere(self, a: str, b: str, share: float, aside: float, caption: str) -> str:
        """Mark a free place; see ``acts.Anywhere``."""
        way = self.points[b] - self.points[a]
        at = self.points[a] + way * share + way.unit().left() * aside
        return self._mark(at, Anywhere(a, b, share, aside), caption, False)

    def protract(
        self, vertex: str, arm: str, degrees: float, turn: int, reach: float, caption: str
    ) -> str:
        """Mark a direction with the protractor, ``reach`` cm from the vertex."""
        start = self.points[vertex]
        zero = (self.points[arm] - start).angle()
        at = start.polar(reach, zero + turn * math.radians(degrees))
        if (name := self._known(at)) is not None:
            return name
        name = self._fresh()
        self.acts.append(AlignProtractor(vertex, arm, degrees, name, at, caption, turn, reach))
        self.points[name] = at
        return name

    def _mark(self, at: Point, how: Fix, caption: str, shown: bool) -> str:
        if (name := self._known(at)) is not None:
            return name
        name = self._letter() if shown else self._fresh()
        self.acts.append(MarkPoint(name, at, caption.replace("?", name), how, shown))
        self.points[name] = at
        return name

    def _known(self, at: Point) -> str | None:
        return next((n for n, p in self.points.items() if p.distance(at) < SAME), None)

    def _fresh(self) -> str:
        return f"mark {1 + sum(n.startswith('mark ') for n in self.points)}"

    def _letter(self) -> str:
        free = (letter for letter in LETTERS if letter not in self.points)
        return next(free, self._fresh())

    # --- looking ----------------------------------------------------------------------
    def ink(self, which: Ink) -> Arc | Segment:
        """The ink of that name, or the printed line through two labels."""
        if isinstance(which, PrintedLine):
            return Segment(self.points[which.a], self.points[which.b])
        return self.inks[which]

    def take(self) -> tuple[Act, ...]:
        """The acts done since the last call."""
        acts = tuple(self.acts[self._taken :])
        self._taken = len(self.acts)
        return acts


def short_span(radius: float, half_cm: float = 0.9) -> float:
    """Half the turn (radians) of a short arc: about ``half_cm`` each way, 6° to 30°."""
    return min(max(half_cm / radius, math.radians(6)), math.radians(30))


def _covers(ink: Arc, arc: Arc) -> bool:
    if ink.centre.distance(arc.centre) > SAME or abs(ink.radius - arc.radius) > SAME:
        return False
    if ink.is_circle:
        return True
    middle = arc.point_at(arc.t1 / 2)
    return abs(arc.sweep) <= abs(ink.sweep) + SAME and all(
        ink.distance_to(p) < SAME for p in (arc.start, middle, arc.end)
    )


def cm(length: float) -> str:
    """A length as a caption prints it: at most a millimetre's tenth, no idle zeros."""
    return f"{length:.2f}".rstrip("0").rstrip(".") + " cm"


def label_at(points: Mapping[str, Point], at: Point) -> str | None:
    """The label of the point that stands at ``at``; None if there is none."""
    return next((name for name, p in points.items() if p.distance(at) < SAME), None)
