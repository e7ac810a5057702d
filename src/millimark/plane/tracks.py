"""Curves as plain numbers, for the inner loops of crossings and arrangements.

A track is one curve unpacked once: ``at(t)`` gives (x, y), ``locate(x, y)`` the parameter
of a point known to lie on the whole carrier, or None where it lies beyond the curve's ends.
Parameters are the curve's own. ``period`` is 2 pi for a whole circle or ellipse, else 0.
"""

from __future__ import annotations

import math
from typing import Protocol

from millimark.plane.conics import ParabolaArc
from millimark.plane.curves import Arc, Curve, _Straight
from millimark.plane.point import EPS, Point

TURN = 2 * math.pi


class Track(Protocol):
    """What every track offers."""

    curve: Curve
    t0: float
    t1: float
    period: float

    def at(self, t: float) -> tuple[float, float]:
        """The point at ``t``."""

    def locate(self, x: float, y: float) -> float | None:
        """Parameter of the carrier's point (x, y); None beyond the ends (by more than EPS)."""

    def slope(self, t: float) -> tuple[float, float]:
        """Unit tangent at ``t``."""

    def speed(self, t: float) -> float:
        """Distance run for each unit of ``t``."""

    def piece(self, t0: float, t1: float) -> Curve:
        """The curve between two parameters (``t1`` may pass the period once)."""


class StraightTrack:
    """A segment, ray or line: anchor (ax, ay) and unit direction (dx, dy)."""

    __slots__ = ("ax", "ay", "curve", "dx", "dy", "period", "t0", "t1")

    def __init__(self, curve: _Straight) -> None:
        self.curve: Curve = curve
        anchor, direction = curve.anchor, curve.direction
        self.ax, self.ay = anchor
        self.dx, self.dy = direction
        self.t0, self.t1 = curve.t0, curve.t1
        self.period = 0.0

    def at(self, t: float) -> tuple[float, float]:
        return self.ax + t * self.dx, self.ay + t * self.dy

    def locate(self, x: float, y: float) -> float | None:
        t = (x - self.ax) * self.dx + (y - self.ay) * self.dy
        if t < self.t0:
            return self.t0 if t >= self.t0 - EPS else None
        if t > self.t1:
            return self.t1 if t <= self.t1 + EPS else None
        return t

    def slope(self, t: float) -> tuple[float, float]:
        return self.dx, self.dy

    def speed(self, t: float) -> float:
        return 1.0

    def piece(self, t0: float, t1: float) -> Curve:
        return self.curve.between(t0, t1)


class ArcTrack:
    """An arc: centre (cx, cy), radius r, start angle ``from_`` and ``sense``."""

    __slots__ = ("curve", "cx", "cy", "from_", "period", "r", "sense", "t0", "t1")

    def __init__(self, curve: Arc) -> None:
        self.curve: Curve = curve
        self.cx, self.cy = curve.centre
        self.r = curve.radius
        self.from_ = curve.from_
        self.sense = 1.0 if curve.sweep >= 0 else -1.0
        self.t0, self.t1 = 0.0, abs(curve.sweep)
        self.period = TURN if curve.is_circle else 0.0

    def at(self, t: float) -> tuple[float, float]:
        a = self.from_ + self.sense * t
        return self.cx + self.r * math.cos(a), self.cy + self.r * math.sin(a)

    def locate(self, x: float, y: float) -> float | None:
        return self.turn_to(math.atan2(y - self.cy, x - self.cx))

    def turn_to(self, angle: float) -> float | None:
        """Parameter of the direction ``angle`` from the centre; None beyond the ends."""
        t = (self.sense * (angle - self.from_)) % TURN
        if t <= self.t1:
            return t
        slack = EPS / self.r
        if t <= self.t1 + slack:
            return self.t1
        return 0.0 if t >= TURN - slack else None

    def slope(self, t: float) -> tuple[float, float]:
        a = self.from_ + self.sense * t
        return -math.sin(a) * self.sense, math.cos(a) * self.sense

    def speed(self, t: float) -> float:
        return self.r

    def piece(self, t0: float, t1: float) -> Curve:
        return self.curve.between(t0, t1)


class ConicTrack:
    """An arc of a conic, with its implicit equation and its rational parametrisation.

    ``implicit`` is (a, b, c, d, e, f) of a x² + b xy + c y² + d x + e y + f = 0, scaled so
    that its gradient is about 1 near the vertex.
    """

    __slots__ = ("curve", "implicit", "period", "t0", "t1")

    def __init__(self, curve: ParabolaArc) -> None:
        self.curve: ParabolaArc = curve
        self.t0, self.t1 = curve.t0, curve.t1
        self.period = 0.0
        self.implicit = _parabola_implicit(curve)

    def at(self, t: float) -> tuple[float, float]:
        return self.curve.point_at(t)

    def locate(self, x: float, y: float) -> float | None:
        c = self.curve
        t = (Point(x, y) - c.vertex).dot(Point(c.axis.y, -c.axis.x)) * c.sense
        if t < self.t0:
            return self.t0 if t >= self.t0 - EPS else None
        if t > self.t1:
            return self.t1 if t <= self.t1 + EPS else None
        return t

    def slope(self, t: float) -> tuple[float, float]:
        return self.curve.direction_at(t)

    def speed(self, t: float) -> float:
        return math.hypot(1.0, t / (2 * self.curve.focal))

    def piece(self, t0: float, t1: float) -> Curve:
        return self.curve.between(t0, t1)

    def substituted(self, implicit: Implicit) -> list[float]:
        """Coefficients in t, highest first, of ``implicit`` along this conic."""
        c = self.curve
        u = c._across()
        k = 1 / (4 * c.focal)
        x = (c.axis.x * k, u.x, c.vertex.x)
        y = (c.axis.y * k, u.y, c.vertex.y)
        qa, qb, qc, qd, qe, qf = implicit
        xx, xy, yy = _times(x, x), _times(x, y), _times(y, y)
        out = [qa * p + qb * q + qc * r for p, q, r in zip(xx, xy, yy, strict=True)]
        for i in range(3):
            out[i + 2] += qd * x[i] + qe * y[i]
        out[4] += qf
        return out

    def near(self, x: float, y: float) -> bool:
        """Whether (x, y) lies within about EPS of the carrier."""
        return off_by(self.implicit, x, y) <= EPS


Implicit = tuple[float, float, float, float, float, float]


def off_by(q: Implicit, x: float, y: float) -> float:
    """First-order distance of (x, y) from the conic ``q``."""
    a, b, c, d, e, f = q
    v = a * x * x + b * x * y + c * y * y + d * x + e * y + f
    g = math.hypot(2 * a * x + b * y + d, b * x + 2 * c * y + e)
    return abs(v) / g if g else math.inf


def _times(p: tuple[float, ...], q: tuple[float, ...]) -> list[float]:
    out = [0.0] * (len(p) + len(q) - 1)
    for i, a in enumerate(p):
        for j, b in enumerate(q):
            out[i + j] += a * b
    return out


def _parabola_implicit(c: ParabolaArc) -> Implicit:
    """X² / (4 f) - Y = 0 in the frame, multiplied out."""
    ux, uy = c.axis.y, -c.axis.x
    k = 1 / (4 * c.focal)
    x0 = -(c.vertex.x * ux + c.vertex.y * uy)
    y0 = -(c.vertex.x * c.axis.x + c.vertex.y * c.axis.y)
    return (
        k * ux * ux,
        2 * k * ux * uy,
        k * uy * uy,
        2 * k * ux * x0 - c.axis.x,
        2 * k * uy * x0 - c.axis.y,
        k * x0 * x0 - y0,
    )


AnyTrack = StraightTrack | ArcTrack | ConicTrack


def implicit_of(track: AnyTrack) -> Implicit:
    """The implicit equation of a track's carrier, its gradient about 1 on it."""
    if isinstance(track, StraightTrack):
        return (0.0, 0.0, 0.0, -track.dy, track.dx, track.ax * track.dy - track.ay * track.dx)
    if isinstance(track, ArcTrack):
        k = 1 / (2 * track.r)
        square = track.cx * track.cx + track.cy * track.cy - track.r * track.r
        return (k, 0.0, k, -2 * k * track.cx, -2 * k * track.cy, k * square)
    return track.implicit


def track_of(curve: Curve) -> AnyTrack:
    """The track of a curve."""
    if isinstance(curve, Arc):
        return ArcTrack(curve)
    if isinstance(curve, _Straight):
        return StraightTrack(curve)
    if isinstance(curve, ParabolaArc):
        return ConicTrack(curve)
    raise TypeError(f"no track for a curve of kind {curve.kind}")
