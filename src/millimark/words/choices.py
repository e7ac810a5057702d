"""Constraints that choose between mirror images rather than measure: sides and insides.

Their residual is zero on the right side and how far the point is beyond it otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass

from millimark.plane.point import EPS, Point
from millimark.words.constraints import Constraint, OfLine, Points

_UP = {
    "above": Point(0.0, 1.0), "below": Point(0.0, -1.0),
    "left": Point(-1.0, 0.0), "right": Point(1.0, 0.0),
}  # fmt: skip


@dataclass(frozen=True)
class OnSide(OfLine):
    """``p`` lies above, below, left or right of the line ab."""

    side: str
    says: str

    def residuals(self, at: Points) -> tuple[float, ...]:
        a, b = at[self.a], at[self.b]
        gap = b - a
        if gap.norm() < EPS:
            return (0.0,)
        normal = gap.unit().left()
        way = normal.dot(_UP[self.side])
        if abs(way) < EPS:
            return (1.0,)
        height = normal.dot(at[self.p] - a) * (1.0 if way > 0 else -1.0)
        return (max(0.0, EPS - height),)


@dataclass(frozen=True)
class SameSideAs(Constraint):
    """``p`` lies on the side of the line ab on which ``of`` lies, or on the other."""

    p: str
    a: str
    b: str
    of: str
    same: bool
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.p, self.a, self.b, self.of

    def residuals(self, at: Points) -> tuple[float, ...]:
        a, gap = at[self.a], at[self.b] - at[self.a]
        if gap.norm() < EPS:
            return (0.0,)
        along = gap.unit()
        here, there = along.cross(at[self.p] - a), along.cross(at[self.of] - a)
        height = here if (there > 0) == self.same else -here
        return (max(0.0, EPS - height),)


@dataclass(frozen=True)
class InRound(Constraint):
    """``p`` lies inside the circle about ``centre``, or outside; ``radius`` cm or a point on it."""

    p: str
    centre: str
    radius: float | str
    inside: bool
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        edge = (self.radius,) if isinstance(self.radius, str) else ()
        return self.p, self.centre, *edge

    def residuals(self, at: Points) -> tuple[float, ...]:
        middle = at[self.centre]
        r = middle.distance(at[self.radius]) if isinstance(self.radius, str) else self.radius
        gap = r - middle.distance(at[self.p])
        return (max(0.0, EPS - (gap if self.inside else -gap)),)


@dataclass(frozen=True)
class InRing(Constraint):
    """``p`` lies inside the polygon ``ring``, or outside it."""

    p: str
    ring: tuple[str, ...]
    inside: bool
    says: str

    @property
    def labels(self) -> tuple[str, ...]:
        return self.p, *self.ring

    def residuals(self, at: Points) -> tuple[float, ...]:
        p = at[self.p]
        corners = [at[v] for v in self.ring]
        within = False
        for u, v in zip(corners, corners[1:] + corners[:1], strict=True):
            if (u.y > p.y) != (v.y > p.y) and p.x < u.x + (p.y - u.y) / (v.y - u.y) * (v.x - u.x):
                within = not within
        return (0.0 if within == self.inside else 1.0,)
