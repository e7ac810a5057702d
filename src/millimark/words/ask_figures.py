"""The rules of asks.lark that build on printed points: triangles, regular figures, angles,
medians, equal parts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from millimark.errors import NoAnswerError
from millimark.loci.completing import corners_on
from millimark.loci.conditions import (
    AngleOn,
    CircleOf,
    CopiedAngle,
    EqualParts,
    LineOf,
    Locus,
    MarkPoints,
    Median,
    Perpendicular,
    PointOf,
    RayOf,
    RegularIn,
    RegularOn,
    SegmentOf,
    TriangleOn,
)
from millimark.loci.figures_on import AngleAtEnd, SideTo, Where
from millimark.plane.point import EPS
from millimark.words.ask_features import FeatureTree
from millimark.words.common_tree import pair, triple
from millimark.words.earley import Word
from millimark.words.facts import Quantity
from millimark.words.tokens import split_labels

SAME = 1e-6
"""Relative: a length or an angle that is said twice is the same within this."""
REGULAR = {
    "equilateral triangle": 3,
    "square": 4,
    "regular pentagon": 5,
    "regular hexagon": 6,
    "regular heptagon": 7,
    "regular octagon": 8,
}


@dataclass(frozen=True)
class PartSide:
    """ "AC = 5 cm": a side of a triangle, cm."""

    ends: frozenset[str]
    length: float


@dataclass(frozen=True)
class PartAngle:
    """ "angle ABC = 40°": an angle of a triangle; ``arms`` None where only its corner is named."""

    at: str
    arms: frozenset[str] | None
    degrees: float


Part = PartSide | PartAngle
Sided = tuple[Where, str | None]


class FigureTree(FeatureTree):
    """Figures that are built on printed points."""

    # --- which side
    def which_side(self) -> Sided:
        return None, None

    def side_above(self, ab: Word) -> Sided:
        return "above", str(ab)

    def side_below(self, ab: Word) -> Sided:
        return "below", str(ab)

    def side_left(self, ab: Word) -> Sided:
        return "left", str(ab)

    def side_right(self, ab: Word) -> Sided:
        return "right", str(ab)

    def side_of_point(self, ab: Word, of: Word) -> Sided:
        return self.point(of), str(ab)

    def _where(self, sided: Sided, a: str, b: str) -> Where:
        """The side as a value; a note where either side is right."""
        where, line = sided
        if line is not None and set(split_labels(line)) != {a, b}:
            raise NoAnswerError(
                f"The side of {line} is named, but what is drawn stands on {a}{b}.",
                f"Name a side of {a}{b}.",
            )
        if where is None:
            up = self.figure.points[b] - self.figure.points[a]
            shown = f"above {a}{b}" if abs(up.x) > EPS else f"to the left of {a}{b}"
            self.note(
                f"It may stand on either side of {a}{b}; the one {shown} is shown. "
                f"Write '{shown}' to ask for that one alone."
            )
        return where

    # --- triangles
    def part_side(self, ab: Word, length: Quantity) -> Part:
        return PartSide(frozenset(pair(ab)), self.cm(length))

    def part_sides(self, ab: Word, cd: Word, length: Quantity) -> tuple[Part, ...]:
        return self.part_side(ab, length), self.part_side(cd, length)

    def part_angle(self, labels: Word, degrees: float) -> Part:
        a, v, b = triple(labels)
        return PartAngle(v, frozenset((a, b)), degrees)

    def part_corner(self, at: Word, degrees: float) -> Part:
        return PartAngle(str(at), None, degrees)

    def part_right_angle(self, labels: Word) -> Part:
        return self.part_angle(labels, 90.0)

    def part_right_corner(self, at: Word) -> Part:
        return self.part_corner(at, 90.0)

    def built_triangle(self, kind: str, group: Word, *parts: Any) -> Locus:
        ring, flat = split_labels(str(group)), _flat(parts[:-1])
        if "triangle" not in kind or len(ring) != 3:
            raise NoAnswerError(
                f"{kind} {group} cannot be built from sides and angles here.",
                "Ask for a triangle, a square or a regular figure on a printed side.",
            )
        base, apex = self._base(ring)
        facts = self._facts_of(base, apex, flat)
        found = TriangleOn(base, apex, facts, self._where(parts[-1], base.a, base.b))
        self._is_of_kind(kind, found)
        return found

    def _base(self, ring: tuple[str, ...]) -> tuple[SegmentOf, str]:
        """The printed side of a triangle, in alphabetical order, and its corner to be found."""
        known = sorted(p for p in ring if p in self.figure.points)
        new = [p for p in ring if p not in self.figure.points]
        name = "".join(ring)
        if len(set(ring)) < 3:
            raise NoAnswerError(f"{name} names a corner twice.", "Name three corners.")
        if len(known) == 3:
            raise NoAnswerError(
                f"Triangle {name} is given already: all of its corners are printed.",
                "Ask for what is to be drawn in it, or give only one of its sides.",
            )
        if len(known) < 2:
            a, b = ring[:2]
            raise NoAnswerError(
                f"Triangle {name} has no printed side to stand on.",
                f"Give one side first, as in '{a}{b} is 7 cm long.'",
            )
        return SegmentOf(known[0], known[1]), new[0]

    def _facts_of(
        self, base: SegmentOf, apex: str, parts: list[Part]
    ) -> tuple[SideTo | AngleAtEnd, SideTo | AngleAtEnd]:
        ends = (base.a, base.b)
        lengths: dict[str, float] = {}
        angles: dict[str, float] = {}
        for part in parts:
            self._belongs(part, (*ends, apex))
            if isinstance(part, PartSide):
                if part.ends == set(ends):
                    self._same_base(base, part.length)
                else:
                    (end,) = part.ends - {apex}
                    _told_once(lengths, end, part.length, f"the side {end}{apex}")
            else:
                _told_once(angles, part.at, part.degrees, f"the angle at {part.at}")
        if apex in angles and len(angles) == 2:
            (other,) = set(angles) - {apex}
            third = ends[1] if other == ends[0] else ends[0]
            angles[third] = 180 - angles[apex] - angles[other]
            del angles[apex]
        facts: list[SideTo | AngleAtEnd] = [
            SideTo(PointOf(end), lengths[end]) for end in ends if end in lengths
        ]
        facts += [AngleAtEnd(PointOf(end), angles[end]) for end in ends if end in angles]
        if len(facts) != 2 or apex in angles:
            raise NoAnswerError(
                f"{len(lengths) + len(angles)} facts about {apex} are given where two fix it: the "
                f"sides {ends[0]}{apex} and {ends[1]}{apex}, and the angles at {ends[0]} and "
                f"{ends[1]}.",
                "Name two of these four.",
            )
        return facts[0], facts[1]

    def _belongs(self, part: Part, corners: tuple[str, str, str]) -> None:
        named = part.ends if isinstance(part, PartSide) else (part.arms or frozenset()) | {part.at}
        whole = len(named) == (2 if isinstance(part, PartSide) else 3) or (
            isinstance(part, PartAngle) and part.arms is None
        )
        if not named <= set(corners) or not whole:
            raise NoAnswerError(
                f"{''.join(sorted(named))} is no part of triangle {''.join(sorted(corners))}.",
                "Name its sides and angles by its own corners.",
            )

    def _same_base(self, base: SegmentOf, length: float) -> None:
        known = self.figure.points[base.a].distance(self.figure.points[base.b])
        if abs(known - length) > SAME * max(1.0, known):
            raise NoAnswerError(
                f"{base.a}{base.b} is printed {known:.6g} cm long, and the ask says "
                f"{length:.6g} cm.",
                "Leave it out of the ask, or make the two agree.",
            )

    def _is_of_kind(self, kind: str, found: TriangleOn) -> None:
        """NoAnswerError if the triangle is not the equilateral, isosceles or right-angled one that
        its sentence calls it."""
        at = self.figure.points
        ring = (at[found.base.a], at[found.base.b], corners_on(self.figure, found)[0])
        short, middle, long = sorted(ring[i].distance(ring[i - 1]) for i in range(3))
        alike = SAME * long
        right = abs(math.hypot(short, middle) - long) <= alike
        isosceles = min(middle - short, long - middle) <= alike
        fits = {
            "equilateral triangle": long - short <= alike,
            "isosceles triangle": isosceles,
            "right-angled triangle": right,
        }
        if not fits.get(kind, True):
            raise NoAnswerError(
                f"With these sides and angles {found.base.a}{found.base.b}{found.apex} is not "
                f"{'an' if kind[0] in 'ei' else 'a'} {kind}.",
                "Correct them, or call it a triangle.",
            )

    # --- regular figures
    def _corners(self, kind: str) -> int:
        if kind not in REGULAR:
            raise NoAnswerError(
                f"A {kind} is not fixed by one of its sides.",
                "Give two more sides or angles of a triangle, or ask for an equilateral triangle, "
                "a square, a regular pentagon or a regular hexagon.",
            )
        return REGULAR[kind]

    def built_on(self, kind: str, ab: Word, sided: Sided) -> Locus:
        corners, (a, b) = self._corners(kind), pair(ab)
        base = SegmentOf(self.known(a), self.known(b))
        return RegularOn(base, corners, (), self._where(sided, a, b))

    def built_named(self, kind: str, group: Word, sided: Sided) -> Locus:
        ring = self._ring(kind, group)
        n = len(ring)
        there = [i for i in range(n) if ring[i] in self.figure.points]
        starts = [i for i in there if (i + 1) % n in there]
        if len(there) != 2 or not starts:
            raise NoAnswerError(
                f"{len(there)} corners of {kind} {group} are printed; it is built on one side.",
                f"Give two neighbouring corners, as in '{ring[0]}{ring[1]} is 5 cm long.'",
            )
        ring = (*ring[starts[0] :], *ring[: starts[0]])
        base = SegmentOf(ring[0], ring[1])
        return RegularOn(base, n, ring[2:], self._where(sided, base.a, base.b))

    def built_named_on(self, kind: str, group: Word, ab: Word, sided: Sided) -> Locus:
        found = self.built_named(kind, group, sided)
        if isinstance(found, RegularOn) and set(pair(ab)) != {found.base.a, found.base.b}:
            raise NoAnswerError(
                f"{kind} {group} stands on its printed side {found.base.a}{found.base.b}, and the "
                f"ask says {ab}.",
                f"Name {found.base.a}{found.base.b}, or leave it out.",
            )
        return found

    def _ring(self, kind: str, group: Word) -> tuple[str, ...]:
        ring = split_labels(str(group))
        n = self._corners(kind)
        if len(ring) != n or len(set(ring)) != n:
            raise NoAnswerError(
                f"A {kind} has {n} corners, and {group} does not name {n}.",
                "Name each corner once, in order round it.",
            )
        return ring

    def built_in(self, kind: str, circle: CircleOf, first: Word) -> Locus:
        found = RegularIn(circle, self.point(first), self._corners(kind))
        corners_on(self.figure, found)
        return found

    def built_in_named(self, kind: str, group: Word, circle: CircleOf) -> Locus:
        ring = self._ring(kind, group)
        there = [i for i, label in enumerate(ring) if label in self.figure.points]
        if len(there) != 1:
            raise NoAnswerError(
                f"{len(there)} corners of {kind} {group} are printed; one says where it starts.",
                f"Give one corner, as in '{ring[0]} is on the circle.'",
            )
        ring = (*ring[there[0] :], *ring[: there[0]])
        found = RegularIn(circle, PointOf(ring[0]), len(ring), ring[1:])
        corners_on(self.figure, found)
        return found

    # --- angles
    def angle_at_on(self, size: float, vertex: Word, ab: Word, sided: Sided) -> Locus:
        arm = self._arm(str(vertex), ab)
        return AngleOn(arm, size, self._where(sided, arm.a, arm.b))

    def angle_at(self, size: float, vertex: Word) -> Locus:
        """An angle at a point from the one line that is printed there."""
        v = self.known(str(vertex))
        arms = [b if a == v else a for a, b in self.figure.segments if v in (a, b)]
        if len(arms) != 1:
            raise NoAnswerError(
                f"'an angle of {size:g}° at {v}' could start from {len(arms)} lines.",
                f"Say from which, as in 'an angle of {size:g}° at {v} on {v}B'.",
            )
        return AngleOn(RayOf(v, arms[0]), size, self._where((None, None), v, arms[0]))

    def angle_named(self, labels: Word, size: float, sided: Sided) -> Locus:
        p, v, q = triple(labels)
        arms = [x for x in (p, q) if x in self.figure.points]
        if len(arms) != 1 or p == q:
            raise NoAnswerError(
                f"Angle {labels} has {len(arms)} printed arms; it is drawn from one.",
                f"Print one arm, as in '{v}{p} is 7 cm long.', and give the other a new letter.",
            )
        arm = RayOf(self.known(v), arms[0])
        return AngleOn(arm, size, self._where(sided, arm.a, arm.b))

    def copied_angle(
        self, like: tuple[RayOf, RayOf], vertex: Word, ab: Word, sided: Sided
    ) -> Locus:
        arm = self._arm(str(vertex), ab)
        return CopiedAngle(like, arm, self._where(sided, arm.a, arm.b))

    def _arm(self, vertex: str, ab: Word) -> RayOf:
        a, b = pair(ab)
        if vertex not in (a, b):
            raise NoAnswerError(
                f"The angle stands at {vertex}, which is no end of {ab}.",
                f"Name the arm by a line from {vertex}, as in '{vertex}{a}'.",
            )
        return RayOf(self.known(vertex), self.known(b if a == vertex else a))

    # --- lines of a triangle, equal parts
    def median_to(self, of: Word, ab: Word) -> Locus:
        a, b = pair(ab)
        return Median(self.point(of), SegmentOf(self.known(a), self.known(b)))

    def median_of(self, labels: Word, of: Word) -> Locus:
        found = [m for m in self.medians(labels) if isinstance(m, Median) and m.of.label == str(of)]
        if not found:
            raise NoAnswerError(f"{of} is no corner of triangle {labels}.", "Name one of its own.")
        return found[0]

    def medians(self, labels: Word) -> tuple[Locus, ...]:
        return tuple(
            Median(PointOf(v), SegmentOf(p, q)) for v, p, q in self._corners_and_sides(labels)
        )

    def altitudes(self, labels: Word) -> tuple[Locus, ...]:
        return tuple(
            Perpendicular(LineOf(p, q), PointOf(v)) for v, p, q in self._corners_and_sides(labels)
        )

    def _corners_and_sides(self, labels: Word) -> tuple[tuple[str, str, str], ...]:
        a, b, c = (self.known(label) for label in triple(labels))
        return (a, b, c), (b, a, c), (c, a, b)

    def divided(self, ab: Word, parts: float) -> MarkPoints:
        a, b = pair(ab)
        if parts != int(parts) or not 2 <= parts <= 100:
            raise NoAnswerError(
                f"{ab} cannot be divided into {parts:g} equal parts.",
                "Name a whole number from 2 to 100.",
            )
        return MarkPoints((EqualParts(SegmentOf(self.known(a), self.known(b)), int(parts)),))

    def trisected(self, ab: Word) -> MarkPoints:
        return self.divided(ab, 3.0)


def _flat(parts: tuple[object, ...]) -> list[Part]:
    out: list[Part] = []
    for part in parts:
        if isinstance(part, tuple):
            out.extend(_flat(part))
        elif isinstance(part, PartSide | PartAngle):
            out.append(part)
    return out


def _told_once(known: dict[str, float], key: str, value: float, what: str) -> None:
    if key in known and abs(known[key] - value) > SAME * max(1.0, abs(value)):
        raise NoAnswerError(
            f"{what[0].upper()}{what[1:]} is said to be {known[key]:g} and {value:g}.",
            "Leave one out.",
        )
    known[key] = value
