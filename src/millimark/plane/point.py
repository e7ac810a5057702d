"""Points and vectors of the plane."""

from __future__ import annotations

import math
from typing import NamedTuple

EPS = 1e-9
"""Working precision, cm: two points closer than this are one point."""


class Point(NamedTuple):
    """A point, or the vector from the origin to it; cm in figures, mm on pages."""

    x: float
    y: float

    def __add__(self, other: Point) -> Point:  # type: ignore[override]
        return Point(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Point) -> Point:
        return Point(self.x - other.x, self.y - other.y)

    def __mul__(self, k: float) -> Point:  # type: ignore[override]
        return Point(self.x * k, self.y * k)

    def __rmul__(self, k: float) -> Point:  # type: ignore[override]
        return self * k

    def __neg__(self) -> Point:
        return Point(-self.x, -self.y)

    def dot(self, other: Point) -> float:
        """Scalar product."""
        return self.x * other.x + self.y * other.y

    def cross(self, other: Point) -> float:
        """z of the vector product: positive when ``other`` lies anticlockwise of self."""
        return self.x * other.y - self.y * other.x

    def norm(self) -> float:
        """Length of the vector."""
        return math.hypot(self.x, self.y)

    def distance(self, other: Point) -> float:
        """Distance between the two points."""
        return math.hypot(self.x - other.x, self.y - other.y)

    def angle(self) -> float:
        """Direction of the vector in radians, in (-pi, pi]; 0 for the zero vector."""
        return math.atan2(self.y, self.x)

    def unit(self) -> Point:
        """Unit vector of the same direction; ValueError for the zero vector."""
        n = self.norm()
        if n == 0.0:
            raise ValueError("the zero vector has no direction")
        return Point(self.x / n, self.y / n)

    def left(self) -> Point:
        """The vector turned a quarter turn anticlockwise."""
        return Point(-self.y, self.x)

    def polar(self, distance: float, angle: float) -> Point:
        """The point at ``distance`` in direction ``angle`` (radians) from this one."""
        return Point(self.x + distance * math.cos(angle), self.y + distance * math.sin(angle))


ORIGIN = Point(0.0, 0.0)


def midpoint(a: Point, b: Point) -> Point:
    """The point half way between ``a`` and ``b``."""
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2)
