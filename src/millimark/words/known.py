"""Lengths and angles that follow from the givens before anything is placed.

``Known`` starts empty; a contradiction between two statements is a ``GivensError`` that
quotes both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from millimark.errors import GivensError
from millimark.plane.point import EPS

SHORTEST_CM, LONGEST_CM = 1e-4, 1e9
"""Lengths that double precision still places to its last useful figures."""
Pair = frozenset[str]
Corner = tuple[str, Pair]
"""An angle: its vertex and its two arms' ends."""


def number(value: float) -> str:
    """A value as a teacher would write it: at most ten figures, no trailing zeros."""
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return text if text not in ("", "-0") else "0"


@dataclass
class Known:
    """Lengths in cm by pair of points, angles in degrees by corner, each with its sentence."""

    lengths: dict[Pair, tuple[float, str]] = field(default_factory=dict)
    angles: dict[Corner, tuple[float, str]] = field(default_factory=dict)
    equal: list[tuple[Pair, Pair, str]] = field(default_factory=list)
    triangles: set[frozenset[str]] = field(default_factory=set)

    def length(self, a: str, b: str) -> float | None:
        """The distance from a to b, or None while it is not known."""
        found = self.lengths.get(frozenset((a, b)))
        return found[0] if found else None

    def set_length(self, a: str, b: str, cm: float, says: str) -> bool:
        """Note a length; True if it is new."""
        if a == b:
            raise GivensError(
                f"{says}: a length needs two different points, not {a} twice.",
                "Name two points.",
            )
        if not (cm > 0 and math.isfinite(cm)):
            raise GivensError(f"{says}: a length must be more than zero.", "Correct the length.")
        if not SHORTEST_CM <= cm <= LONGEST_CM:
            size = "short" if cm < SHORTEST_CM else "long"
            raise GivensError(
                f"{says}: a length of {cm:.3g} cm on the paper is too {size} to work with.",
                f"Keep it between {SHORTEST_CM:g} cm and {LONGEST_CM:g} cm, or give a scale.",
            )
        pair = frozenset((a, b))
        if pair not in self.lengths:
            self.lengths[pair] = (cm, says)
            return True
        before, because = self.lengths[pair]
        if abs(before - cm) > 1e-9 * max(1.0, cm):
            raise GivensError(
                f"{because}, but {says}: {a}{b} cannot be both {number(before)} cm and "
                f"{number(cm)} cm.",
                "Change one of the two.",
            )
        return False

    def set_angle(self, a: str, v: str, b: str, degrees: float, says: str) -> bool:
        """Note an angle; True if it is new."""
        if len({a, v, b}) < 3:
            raise GivensError(
                f"{says}: an angle needs three different points.", "Name three points."
            )
        if not 0 < degrees < 360:
            raise GivensError(
                f"{says}: an angle must lie between 0° and 360°.", "Correct the angle."
            )
        small = degrees if degrees <= 180 else 360 - degrees
        corner = (v, frozenset((a, b)))
        if corner not in self.angles:
            self.angles[corner] = (small, says)
            return True
        before, because = self.angles[corner]
        if abs(before - small) > 1e-9:
            raise GivensError(
                f"{because}, but {says}: angle {a}{v}{b} cannot be both {number(before)}° and "
                f"{number(small)}°.",
                "Change one of the two.",
            )
        return False

    def set_equal(self, ab: tuple[str, str], cd: tuple[str, str], says: str) -> None:
        """Note that two lengths are equal."""
        for a, b in (ab, cd):
            if a == b:
                raise GivensError(
                    f"{says}: a length needs two different points, not {a} twice.",
                    "Name two points.",
                )
        self.equal.append((frozenset(ab), frozenset(cd), says))

    def close(self) -> None:
        """Everything that follows: equal lengths, angle sums, base angles."""
        while self._spread_lengths() or self._third_angles() or self._base_angles():
            pass
        self._check_triangles()

    def _spread_lengths(self) -> bool:
        new = False
        for one, two, says in self.equal:
            for known, other in ((one, two), (two, one)):
                if known in self.lengths:
                    a, b = sorted(other)
                    cm, because = self.lengths[known]
                    reason = because if says in because else f"{because} and {says}"
                    new |= self.set_length(a, b, cm, reason)
        return new

    def _third_angles(self) -> bool:
        new = False
        for corners in self.triangles:
            a, b, c = sorted(corners)
            three = [(a, b, c), (b, c, a), (c, a, b)]
            found = [self.angles.get((v, frozenset((p, q)))) for p, v, q in three]
            known = [f for f in found if f is not None]
            total = sum(f[0] for f in known)
            says = " and ".join(dict.fromkeys(f[1] for f in known))
            if len(known) == 3 and abs(total - 180) > 1e-9:
                raise GivensError(
                    f"The angles of triangle {a}{b}{c} add up to {number(total)}°, "
                    f"and they must add up to 180° ({says}).",
                    "Change or leave out one of them.",
                )
            if len(known) == 2:
                if total >= 180:
                    raise GivensError(
                        f"Two angles of triangle {a}{b}{c} add up to {number(total)}° ({says}); "
                        "all three together are only 180°.",
                        "Make one of them smaller.",
                    )
                p, v, q = three[found.index(None)]
                new |= self.set_angle(p, v, q, 180 - total, says)
        return new

    def _base_angles(self) -> bool:
        """Isosceles triangles: the apex angle gives the base angles, and one the other."""
        new = False
        for one, two, says in self.equal:
            if len(one & two) != 1 or one | two not in self.triangles:
                continue
            (apex,) = one & two
            p, q = sorted((one | two) - {apex})
            top = self.angles.get((apex, frozenset((p, q))))
            if top:
                base = (180 - top[0]) / 2
                reason = f"{top[1]} and {says}"
                new |= self.set_angle(apex, p, q, base, reason)
                new |= self.set_angle(apex, q, p, base, reason)
            for here, there in ((p, q), (q, p)):
                known = self.angles.get((here, frozenset((apex, there))))
                if known:
                    new |= self.set_angle(apex, there, here, known[0], f"{known[1]} and {says}")
        return new

    def _check_triangles(self) -> None:
        labels = sorted({p for pair in self.lengths for p in pair})
        for i, a in enumerate(labels):
            for j, b in enumerate(labels[i + 1 :], i + 1):
                for c in labels[j + 1 :]:
                    self._check_triangle(a, b, c)

    def _check_triangle(self, a: str, b: str, c: str) -> None:
        sides = [frozenset(pair) for pair in ((a, b), (b, c), (c, a))]
        if not all(side in self.lengths for side in sides):
            return
        short, middle, long = sorted(self.lengths[side][0] for side in sides)
        named = frozenset((a, b, c)) in self.triangles
        flat = abs(short + middle - long) <= EPS * max(1.0, long)
        if (short + middle < long and not flat) or (flat and named):
            verb = "which is exactly" if flat else "which is less than"
            raise GivensError(
                f"{a}{b}{c} cannot be drawn with sides {number(short)} cm, {number(middle)} cm and "
                f"{number(long)} cm: {number(short)} + {number(middle)} = "
                f"{number(short + middle)}, {verb} {number(long)}. Any two sides of a triangle are "
                "together longer than the third.",
                "Change one of the lengths.",
            )
