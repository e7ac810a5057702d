"""Constraints into points: one after another by ruler and compasses, else by iteration.

No points give no points. The first point named stands at the origin and the first length
runs to the right unless compass words, coordinates or bearings fix directions; of two
mirror images the one that runs anticlockwise through a shape's vertices is taken.
"""

from __future__ import annotations

from collections.abc import Sequence

from millimark.errors import GivensError
from millimark.plane.crossings import crossings
from millimark.plane.curves import Curve
from millimark.plane.point import ORIGIN, Point
from millimark.words.constraints import (
    Angle,
    Constraint,
    Direction,
    Dist,
    Gap,
    On,
    Place,
    Slope,
    Vector,
)
from millimark.words.known import number
from millimark.words.mentioned import Compiled
from millimark.words.shapes import clockwise

ARM_CM = 6.0
"""Length of an angle's arm that no sentence gives, cm: a page holds it, a protractor reads it."""
FITS = 1e-7
"""A finished figure misses no constraint by more than this, cm."""


class Placing:
    """The points placed so far, and what is still to be placed."""

    def __init__(self, givens: Compiled) -> None:
        self.givens = givens
        self.at: dict[str, Point] = {}
        self.notes: list[str] = []
        self.turned = False  # whether a first length has been laid across the page

    def run(self) -> dict[str, Point]:
        """All points, in order of first mention."""
        self._absolute()
        while missing := self._missing():
            if not (self._step(missing) or self._seed(missing) or self._iterate(missing)):
                self._insufficient(missing)
        self._check()
        return {label: self.at[label] for label in self.givens.labels}

    def _missing(self) -> list[str]:
        return [label for label in self.givens.labels if label not in self.at]

    def _absolute(self) -> None:
        for c in self.givens.constraints:
            if isinstance(c, Place):
                self.at.setdefault(c.p, Point(c.x, c.y))
        if not self.at and self.givens.labels:
            self.at[self.givens.labels[0]] = ORIGIN

    # --- one point by the curves on which it must lie
    def _step(self, missing: Sequence[str]) -> bool:
        for p in missing:
            ready = [c for c in self.givens.constraints if c.ready(p, self.at)]
            tracks = [(c, c.curves(p, self.at)) for c in ready]
            exact = next((f for _, f in tracks if isinstance(f, Point)), None)
            if exact is not None:
                self.at[p] = exact
                return True
            curves = [
                (c, f) for c, f in tracks if isinstance(f, tuple) and not isinstance(f, Point)
            ]
            if len(curves) >= 2 and self._cross(p, curves, ready):
                return True
        return False

    def _cross(
        self,
        p: str,
        curves: Sequence[tuple[Constraint, tuple[Curve, ...]]],
        ready: Sequence[Constraint],
    ) -> bool:
        """Place p where the first two curves that cross at all do so."""
        for i, (one, first) in enumerate(curves):
            for two, second in curves[i + 1 :]:
                spots = [x for a in first for b in second for x in crossings(a, b)]
                spots = [
                    x for x in spots if not any(x.distance(q) < 1e-9 for q in self.at.values())
                ]
                if spots:
                    self.at[p] = self._best(p, spots, ready)
                    return True
                if not _same_carriers(first, second):
                    self._impossible(p, one, two)
        return False

    def _best(self, p: str, spots: Sequence[Point], ready: Sequence[Constraint]) -> Point:
        """The spot that fits the other constraints, then the anticlockwise one, then the upper."""

        mine = [shape for shape in self.givens.shapes if p in shape.labels]

        def rank(spot: Point) -> tuple[bool, int, float, float]:
            at = {**self.at, p: spot}
            misses = any(_miss(c, at) > FITS for c in ready)
            return misses, clockwise(mine, at), -round(self._left(spot), 9), -round(spot.x, 9)

        return min(spots, key=rank)

    def _left(self, spot: Point) -> float:
        """How far a spot lies to the left of the line from the first point to the second."""
        placed = list(self.at.values())
        if len(placed) < 2 or placed[0].distance(placed[1]) < 1e-9:
            return spot.y
        return (placed[1] - placed[0]).unit().cross(spot - placed[0])

    # --- the first length, and arms that nothing measures
    def _seed(self, missing: Sequence[str]) -> bool:
        """Where only one point stands: run the first length from it to the right."""
        if not self.turned and not self._fixed_turn():
            for c in self._lengths():
                for start, other in ((c.a, c.b), (c.b, c.a)):
                    if start in self.at and other in missing:
                        self.at[other] = self.at[start] + Point(c.r, 0.0)
                        self.turned = True
                        return True
        return self._arm(missing) or self._opposite(missing)

    def _opposite(self, missing: Sequence[str]) -> bool:
        """A parallel of which only its distance is given runs opposite to the first line."""
        for c in self.givens.constraints:
            if isinstance(c, Slope) and c.turn == 0 and c.c in missing and c.d in missing:
                gaps = [g for g in self.givens.constraints if isinstance(g, Gap) and g.p == c.c]
                if gaps and c.a in self.at and c.b in self.at:
                    across = (self.at[c.b] - self.at[c.a]).unit().left() * gaps[0].r
                    self.at[c.c], self.at[c.d] = self.at[c.a] + across, self.at[c.b] + across
                    self.notes.append(
                        f"No sentence says where along its line {c.c}{c.d} is; it is drawn "
                        f"opposite {c.a}{c.b} and as long."
                    )
                    return True
        return False

    def _fixed_turn(self) -> bool:
        """Whether a map, a grid or two placed points already say which way is up."""
        steps = sum(isinstance(c, Direction | Vector) for c in self.givens.constraints)
        return self.givens.absolute or len(self.at) > 1 + steps

    def _lengths(self) -> list[Dist]:
        order = self.givens.labels
        found = [c for c in self.givens.constraints if isinstance(c, Dist)]
        return sorted(found, key=lambda c: max(order.index(c.a), order.index(c.b)))

    def _arm(self, missing: Sequence[str]) -> bool:
        """An end of an arm of which only the angle speaks stands ARM_CM along it."""
        for c in self.givens.constraints:
            if not isinstance(c, Angle) or c.v not in self.at:
                continue
            for end, other in ((c.a, c.b), (c.b, c.a)):
                if end in missing and self._only_angle(end, c):
                    if other in self.at:
                        (ray, *_) = c.curves(end, self.at) or (None,)
                        spot = ray.point_at(ARM_CM) if ray else None
                    else:
                        spot = self.at[c.v] + Point(ARM_CM, 0.0) if len(self.at) == 1 else None
                    if spot is not None:
                        self.at[end] = spot
                        self.notes.append(
                            f"No sentence says how long the arm {c.v}{end} is; "
                            f"it is drawn {number(ARM_CM)} cm long."
                        )
                        return True
        return False

    def _only_angle(self, p: str, angle: Angle) -> bool:
        return all(c is angle or p not in c.labels for c in self.givens.constraints)

    # --- everything else at once
    def _iterate(self, missing: Sequence[str]) -> bool:
        from millimark.words.iterating import solved

        found = solved(self.givens, self.at, missing)
        if found is None:
            return False
        self.at.update(found)
        return True

    # --- what is wrong
    def _check(self) -> None:
        for c in self.givens.constraints:
            if _miss(c, self.at) > FITS:
                if isinstance(c, On) and c.part == "segment":
                    self._off_segment(c)
                found = c.found(self.at)
                raise GivensError(
                    f"'{c.says}' does not agree with the other givens"
                    + (f", by which {found}." if found else "."),
                    "Change it or leave it out.",
                )

    def _off_segment(self, c: On) -> None:
        raise GivensError(
            f"'{c.says}' does not agree with the other givens: {c.p} would lie off the line "
            f"segment {c.a}{c.b}.",
            "Change the length or the position.",
        )

    def _impossible(self, p: str, one: Constraint, two: Constraint) -> None:
        raise GivensError(
            f"There is no point {p} for which both '{one.says}' and '{two.says}' hold.",
            "Change one of the two.",
        )

    def _insufficient(self, missing: Sequence[str]) -> None:
        p = missing[0]
        about = [c.says for c in self.givens.constraints if p in c.labels]
        about += [
            f"it is a vertex of {s.kind} {''.join(s.labels)}"
            for s in self.givens.shapes
            if p in s.labels and not about
        ]
        placed = ", ".join(self.at) or "no point"
        if not about:
            raise GivensError(
                f"Nothing says where {p} is.",
                f"Say how far it is from two of the other points ({placed}), or on which line.",
            )
        raise GivensError(
            f"The givens do not fix where {p} is: of it they say only that "
            f"{' and that '.join(about)}.",
            "Give one more length or angle for it.",
        )


def _miss(c: Constraint, at: dict[str, Point]) -> float:
    if not all(label in at for label in c.labels):
        return 0.0
    return max(abs(r) for r in c.residuals(at))


def _same_carriers(first: Sequence[Curve], second: Sequence[Curve]) -> bool:
    """Whether two sets of curves lie on each other, so that crossing them tells nothing."""
    for a in first:
        for b in second:
            if a.kind != "arc" and b.kind != "arc":
                t = a.direction_at(0.0)
                gap = b.point_at(0.0) - a.point_at(0.0)
                if abs(t.cross(b.direction_at(0.0))) < 1e-9 and abs(t.cross(gap)) < 1e-9:
                    return True
            elif a == b:
                return True
    return False
