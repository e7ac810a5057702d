"""The bench: instruments on paper, doing acts one after another.

A construction is written as what it tells the bench to do. The bench works out where
each mark falls *from the acts alone*, writes the acts down, and does no act twice: an arc
about the same point with the same opening, a line through the same two points, or a
mark where one already is, is used again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import TypeVar

from millimark.errors import PlanError
from millimark.loci.figure import Figure
from millimark.plane.boxes import Box, box_of
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.working.acts import (
    Act,
    AlignProtractor,
    Anywhere,
    Crossing,
    Fix,
    Ink,
    JoinMarks,
    MarkPoint,
    North,
    PrintedCircle,
    PrintedLine,
    Role,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)
from millimark.working.instruments import Instruments
from millimark.working.meeting import crossings, side_of
from millimark.working.printed import printed_from
from millimark.working.sameness import SAME, covers, short_span
from millimark.working.wording import cm

LEAST_PROTRACTED = 0.5
"""cm: a direction marked closer than this to its vertex cannot be ruled; common practice."""

NEAR_PRINT = 0.5
"""cm: a crossing closer than this to a printed point is hard to see; common practice."""

LEAST_REACH = 1.0
"""cm from its centre, at which a protractor's mark can still be made; common practice."""

NAMED = 1e-6
"""cm: a mark this near to where a letter is to stand gets that letter."""

LETTERS = "XYZTUVWKLMNDEFGHJIOPQRSABC"


T = TypeVar("T")

Chooser = Callable[[str, float, float, float], float]
"""(name, low, high, good) -> the value taken for a free quantity."""


def first_choice(name: str, low: float, high: float, good: float) -> float:
    """What a construction thinks good for itself."""
    return good


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
        self.called: dict[str, Point] = {}  # letters that the question gives to places to come
        self.inks: dict[str, Arc | Segment] = {}
        self.acts: list[Act] = []
        self.opening: float | None = None
        self._wanted: SetCompasses | None = None
        self._taken = 0
        self.choose: Chooser = first_choice

    def free(self, name: str, low: float, high: float, good: float) -> float:
        """A free quantity: anything from ``low`` to ``high`` gives the same result."""
        if low > high:
            raise PlanError(
                f"The {name} must be over {cm(low)}, and the most that is possible is {cm(high)}.",
                "Use shorter lengths, or larger compasses.",
            )
        return self.choose(name, low, high, min(max(good, low), high))

    # --- compasses --------------------------------------------------------------------
    def open_to(
        self,
        radius: float,
        caption: str,
        between: tuple[str, str] | None = None,
        free: bool = False,
    ) -> None:
        """Have the compasses open at ``radius`` for the arcs that follow. The act is done
        with the first arc that is struck: none where they stand so already."""
        self._within_reach(radius)
        self._wanted = SetCompasses(radius, between, caption, free)

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

    def fresh_opening(self, radius: float) -> bool:
        """Whether the compasses would have to be set anew for this radius."""
        return self.opening is None or abs(self.opening - radius) > SAME

    def strike(self, centre: str, from_: float, sweep: float, role: Role, caption: str) -> str:
        """Strike an arc with the present opening; the name of the ink that shows it."""
        arc = Arc(self.points[centre], self._radius(), from_, sweep)
        for name, ink in self.inks.items():
            if isinstance(ink, Arc) and covers(ink, arc) and self._serves(name, role):
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

    def _serves(self, name: str, role: Role) -> bool:
        """Whether ink that is there does for a role: the answer's ink does for construction,
        but an answer is drawn boldly even where a construction line lies already."""
        return role == "construction" or self._role(name) == role

    def short_of(self, end: float, least: float) -> float:
        """The widest opening whose cut shows before the printed end of an arm, ``end`` cm from
        the needle; just short of it where the compasses do not open as little as ``least``."""
        clear = end - NEAR_PRINT
        widest = clear if clear >= least else end - 0.05
        return min(self.instruments.compasses_cm, widest)

    def clutter(self, places: Iterable[Point]) -> int:
        """How many of the places lie too near to a printed point for both to be seen."""
        return sum(
            any(SAME < place.distance(p) < NEAR_PRINT for p in self.figure.points.values())
            for place in places
        )

    def _role(self, name: str) -> Role:
        for act in self.acts:
            if isinstance(act, StrikeArc | RuleLine) and act.name == name:
                return act.role
        raise KeyError(name)

    # --- ruler --------------------------------------------------------------------------
    def rule(self, a: str, b: str, t0: float, t1: float, role: Role, caption: str) -> str:
        """Rule a line through ``a`` and ``b`` from ``t0`` to ``t1`` cm from ``a`` towards ``b``."""
        if self.points[a].distance(self.points[b]) < SAME:
            raise PlanError(
                f"The ruler cannot be laid along {self.call(a)} and {self.call(b)}: they are one "
                "place.",
                "Choose other lengths for the figure.",
            )
        if t1 - t0 < SAME:
            raise PlanError(
                f"There is no room to rule the line through {self.call(a)} and {self.call(b)}.",
                "Give the question more room.",
            )
        start, ahead = self.points[a], (self.points[b] - self.points[a]).unit()
        segment = Segment(start + ahead * t0, start + ahead * t1)
        for name, ink in self.inks.items():
            if (
                isinstance(ink, Segment)
                and ink.distance_to(segment.a) < SAME
                and ink.distance_to(segment.b) < SAME
                and self._serves(name, role)
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

    def step(
        self, start: str, towards: str, length: float, caption: str, shown: bool = False
    ) -> str:
        """Mark the place ``length`` cm from ``start`` towards ``towards``, by the ruler."""
        ahead = (self.points[towards] - self.points[start]).unit()
        at = self.points[start] + ahead * length
        return self._mark(at, Step(start, towards, length), caption, shown)

    def anywhere(self, a: str, b: str, share: float, aside: float, caption: str) -> str:
        """Mark a free place; see ``acts.Anywhere``."""
        way = self.points[b] - self.points[a]
        at = self.points[a] + way * share + way.unit().left() * aside
        return self._mark(at, Anywhere(a, b, share, aside), caption, False)

    def north(self, of: str, distance: float = 4.0) -> str:
        """Rule a north line up the page from a mark; the mark at its top."""
        at = self.points[of] + Point(0.0, distance)
        name = self._mark(at, North(of, distance), "", False)
        caption = f"Rule a north line through {self.call(of)}, straight up the page."
        self.rule(of, name, 0.0, distance, "construction", caption)
        return name

    def join(self, through: tuple[str, ...], curve: Curve, caption: str) -> None:
        """Join marks by a smooth freehand curve."""
        name = f"curve {1 + sum(isinstance(act, JoinMarks) for act in self.acts)}"
        self.acts.append(JoinMarks(through, curve, "answer", caption, name))

    def protract(
        self, vertex: str, arm: str, degrees: float, turn: int, reach: float, caption: str
    ) -> str:
        """Mark a direction with the protractor, ``reach`` cm from the vertex."""
        if reach < LEAST_REACH:
            raise PlanError(
                f"The protractor's mark for {degrees:g}° at {self.call(vertex)} would lie off the "
                f"paper: the room goes on for {cm(reach)} there.",
                "Give the question more room.",
            )
        start = self.points[vertex]
        if reach < LEAST_PROTRACTED:
            raise PlanError(
                f"There is no room beside {self.call(vertex)} to mark an angle by protractor.",
                "Use shorter lengths or a larger page.",
            )
        zero = (self.points[arm] - start).angle()
        at = start.polar(reach, zero + turn * math.radians(degrees))
        if (name := self._known(at)) is not None:
            return name
        name = self._fresh()
        self.acts.append(AlignProtractor(vertex, arm, degrees, name, at, caption, turn, reach))
        self.points[name] = at
        return name

    def _mark(self, at: Point, how: Fix, caption: str, shown: bool) -> str:
        name = self._known(at)
        if name is not None and not (shown and name.startswith("mark ")):
            return name
        name = self._letter(at) if shown else self._fresh()
        self.acts.append(
            MarkPoint(name, at, caption.replace("?", name) if shown else "", how, shown)
        )
        self.points[name] = at
        return name

    def _known(self, at: Point) -> str | None:
        return next((n for n, p in self.points.items() if p.distance(at) < SAME), None)

    def _fresh(self) -> str:
        return f"mark {1 + sum(n.startswith('mark ') for n in self.points)}"

    def _letter(self, at: Point) -> str:
        for name, place in self.called.items():
            if place.distance(at) < NAMED:
                return name
        free = (letter for letter in LETTERS if letter not in {*self.points, *self.called})
        return next(free, self._fresh())

    # --- looking ----------------------------------------------------------------------
    def ink(self, which: Ink) -> Arc | Segment:
        """The ink of that name, or the printed line through two labels."""
        if isinstance(which, PrintedLine):
            return Segment(self.points[which.a], self.points[which.b])
        if isinstance(which, PrintedCircle):
            return Arc(which.centre, which.radius)
        return self.inks[which]

    def line_through(self, a: str, b: str, role: Role = "construction") -> Ink:
        """The line through two marks: printed, ruled before, or ruled now between them."""
        pa, pb = self.points[a], self.points[b]
        reach, printed = printed_from(self.figure, pa, (pb - pa).unit())
        if printed is not None and reach >= pa.distance(pb) - SAME:
            return printed
        for name, ink in self.inks.items():
            if isinstance(ink, Segment) and ink.distance_to(pa) + ink.distance_to(pb) < SAME:
                return name
        caption = f"Rule the line {self.pair(a, b)}."
        return self.rule(a, b, 0.0, pa.distance(pb), role, caption)

    def label_ahead(self, vertex: str, direction: Point) -> str | None:
        """The farthest mark on the ray from ``vertex`` in ``direction``; None if none is there."""
        at = self.points[vertex]
        ahead = {
            name: (p - at).dot(direction)
            for name, p in self.points.items()
            if abs((p - at).cross(direction)) < SAME and (p - at).dot(direction) > SAME
        }
        return max(ahead, key=lambda name: ahead[name]) if ahead else None

    def anchor_on(self, line: str, start: str, place: Point) -> str:
        """A mark on a ruled line that lies from ``start`` towards ``place``; made if need be."""
        at, way = self.points[start], (place - self.points[start]).unit()
        for act in self.acts:
            if isinstance(act, RuleLine) and act.name == line:
                for name in act.through:
                    if (self.points[name] - at).dot(way) > SAME:
                        return name
        raise PlanError(
            f"No mark lies beyond {self.call(start)} on the line.", "Name a point on it."
        )

    def room_after(self, at: Point, direction: Point) -> float:
        """How far the room goes on from a place in a direction, cm."""
        limits = self.room.along(at, direction)
        return max(limits[1], 0.0) if limits else 0.0

    def fits(self, curve: Arc | Segment) -> bool:
        """Whether the curve stays inside the room."""
        box = box_of((curve,))
        return box is not None and self.room.holds_box(box)

    def space(self, a: str, direction: Point) -> float:
        """How far the room goes on from a mark in a direction, cm."""
        return self.room_after(self.points[a], direction)

    def attempt(self, work: Callable[[], T]) -> T | None:
        """What ``work`` gives; None, and the sheet as it was before, where there is no room."""
        before = (dict(self.points), dict(self.inks), list(self.acts), self.opening, self._wanted)
        try:
            return work()
        except PlanError:
            self.points, self.inks, self.acts, self.opening, self._wanted = before
            return None

    # --- saying ---------------------------------------------------------------------------
    @staticmethod
    def call(name: str) -> str:
        """What a caption calls a mark: its letter, or what it is."""
        return "the mark" if name.startswith("mark ") else name

    def pair(self, a: str, b: str) -> str:
        """What a caption calls the line through two marks."""
        if a == b:
            return f"the line through {self.call(a)}"
        if a.startswith("mark ") or b.startswith("mark "):
            lettered = next((n for n in (a, b) if not n.startswith("mark ")), None)
            return f"the line from {lettered}" if lettered else "the line"
        return f"{a}{b}"

    def unprinted(self, *names: str) -> tuple[tuple[str, Point], ...]:
        """Those of the marks that are not points of the figure, with their places."""
        return tuple((n, self.points[n]) for n in names if n not in self.figure.points)

    def first_to_last(self, a: str, b: str) -> tuple[str, str]:
        """Two marks in the order in which the hand comes to them: left to right, for a
        left hand right to left."""
        pa, pb = self.points[a], self.points[b]
        forwards = (pa.x, -pa.y) <= (pb.x, -pb.y)
        return (a, b) if forwards != self.instruments.left_handed else (b, a)

    def take(self) -> tuple[Act, ...]:
        """The acts done since the last call."""
        acts = tuple(self.acts[self._taken :])
        self._taken = len(self.acts)
        return acts
