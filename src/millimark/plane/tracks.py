"""Curves as plain numbers, for the inner loops of crossings and arrangements.

A track is one curve unpacked once: ``at(t)`` gives (x, y), ``locate(x, y)`` the parameter
of a point known to lie on the whole carrier, or None where it lies beyond the curve's ends.
Parameters are the curve's own. ``period`` is 2 pi for a whole circle or ellipse, else 0.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple, Protocol

from millimark.plane.conics import EllipseArc, HyperbolaArc, ParabolaArc
from millimark.plane.curves import Arc, Curve, _Straight
from millimark.plane.parametric import ParametricCurve
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
        self.ax, self.ay = curve.anchor
        self.dx, self.dy = curve.direction
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
        self.period = TURN if curve.is_whole else 0.0

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


Conic = ParabolaArc | EllipseArc | HyperbolaArc

Implicit = tuple[float, float, float, float, float, float]


def off_by(q: Implicit, x: float, y: float) -> float:
    """First-order distance of (x, y) from the conic ``q``."""
    return abs(signed_off(q, x, y))


def signed_off(q: Implicit, x: float, y: float) -> float:
    """First-order distance of (x, y) from the conic ``q``, its sign telling the side."""
    a, b, c, d, e, f = q
    v = a * x * x + b * x * y + c * y * y + d * x + e * y + f
    g = math.hypot(2 * a * x + b * y + d, b * x + 2 * c * y + e)
    return v / g if g else math.inf


class Chart(NamedTuple):
    """A rational parametrisation of part of a conic: x = X(w) / W(w), y = Y(w) / W(w), quadratics
    (highest power first), for ``lo`` <= w <= ``hi``; ``to_t`` gives the curve's parameter."""

    x: tuple[float, float, float]
    y: tuple[float, float, float]
    w: tuple[float, float, float]
    lo: float
    hi: float
    to_t: Callable[[float], float]


class ConicTrack:
    """An arc of a conic: its implicit equation and charts that cover it."""

    __slots__ = ("charts", "curve", "implicit", "period", "t0", "t1")

    def __init__(self, curve: Conic) -> None:
        self.curve: Conic = curve
        self.t0, self.t1 = curve.t0, curve.t1
        self.period = TURN if isinstance(curve, EllipseArc) and curve.is_whole else 0.0
        self.implicit, self.charts = _described(curve)

    def at(self, t: float) -> tuple[float, float]:
        return self.curve.point_at(t)

    def locate(self, x: float, y: float) -> float | None:
        c = self.curve
        if isinstance(c, EllipseArc):
            u, v = c.local(Point(x, y))
            t = c.turn_to(math.atan2(v / c.b, u / c.a))
            if t > self.t1 and t > TURN - EPS / min(c.a, c.b):
                return 0.0
        elif isinstance(c, HyperbolaArc):
            u, v = c.local(Point(x, y))
            if u <= 0.0:
                return None
            t = math.asinh(v / c.b) * c.sense
        else:
            t = (Point(x, y) - c.vertex).dot(Point(c.axis.y, -c.axis.x)) * c.sense
        inside = min(max(t, self.t0), self.t1)
        return inside if abs(t - inside) * self.speed(inside) <= EPS else None

    def clamped(self, t: float) -> float:
        """The parameter itself on the curve, beyond it that of the nearer end."""
        if isinstance(self.curve, EllipseArc) and t > self.t1 and TURN - t < t - self.t1:
            return self.t0
        return min(max(t, self.t0), self.t1)

    def slope(self, t: float) -> tuple[float, float]:
        return self.curve.direction_at(t)

    def speed(self, t: float) -> float:
        return self.curve.speed_at(t)

    def piece(self, t0: float, t1: float) -> Curve:
        return self.curve.between(t0, t1)


class ParametricTrack:
    """A curve known by its parameter only."""

    __slots__ = ("curve", "period", "t0", "t1")

    def __init__(self, curve: ParametricCurve) -> None:
        self.curve: ParametricCurve = curve
        self.t0, self.t1 = curve.t0, curve.t1
        self.period = 0.0

    def at(self, t: float) -> tuple[float, float]:
        return self.curve.point_at(t)

    def locate(self, x: float, y: float) -> float | None:
        p = Point(x, y)
        t = self.curve.nearest(p)
        return t if self.curve.point_at(t).distance(p) <= 10 * EPS else None

    def slope(self, t: float) -> tuple[float, float]:
        return self.curve.direction_at(t)

    def speed(self, t: float) -> float:
        return self.curve.speed_at(t)

    def piece(self, t0: float, t1: float) -> Curve:
        return self.curve.between(t0, t1)


AnyTrack = StraightTrack | ArcTrack | ConicTrack | ParametricTrack


def _described(c: Conic) -> tuple[Implicit, tuple[Chart, ...]]:
    if isinstance(c, ParabolaArc):
        return _parabola(c)
    if isinstance(c, EllipseArc):
        return _ellipse(c)
    return _hyperbola(c)


def _framed(
    origin: Point, u: Point, v: Point, square_u: float, square_v: float, v_: float, one: float
) -> Implicit:
    """square_u U² + square_v V² + v_ V + one = 0 for coordinates (U, V) from ``origin`` along
    the unit vectors ``u`` and ``v``, multiplied out in x and y."""
    u0, v0 = -origin.dot(u), -origin.dot(v)
    return (
        square_u * u.x * u.x + square_v * v.x * v.x,
        2 * (square_u * u.x * u.y + square_v * v.x * v.y),
        square_u * u.y * u.y + square_v * v.y * v.y,
        2 * (square_u * u.x * u0 + square_v * v.x * v0) + v_ * v.x,
        2 * (square_u * u.y * u0 + square_v * v.y * v0) + v_ * v.y,
        square_u * u0 * u0 + square_v * v0 * v0 + v_ * v0 + one,
    )


def _chart(
    origin: Point,
    u: Point,
    v: Point,
    along_u: tuple[float, float, float],
    along_v: tuple[float, float, float],
    weight: tuple[float, float, float],
    lo: float,
    hi: float,
    to_t: Callable[[float], float],
) -> Chart:
    """The chart of the point origin + u U/W + v V/W."""
    x = tuple(
        u.x * p + v.x * q + origin.x * r for p, q, r in zip(along_u, along_v, weight, strict=True)
    )
    y = tuple(
        u.y * p + v.y * q + origin.y * r for p, q, r in zip(along_u, along_v, weight, strict=True)
    )
    return Chart((x[0], x[1], x[2]), (y[0], y[1], y[2]), weight, lo, hi, to_t)


def _parabola(c: ParabolaArc) -> tuple[Implicit, tuple[Chart, ...]]:
    u = Point(c.axis.y, -c.axis.x)
    k = 1 / (4 * c.focal)
    along = (0.0, c.sense, 0.0)
    # Ends meet other curves too: the chart reaches a little beyond them.
    chart = _chart(
        c.vertex,
        u,
        c.axis,
        along,
        (k, 0.0, 0.0),
        (0.0, 0.0, 1.0),
        c.t0 - EPS,
        c.t1 + EPS,
        lambda w: w,
    )
    return _framed(c.vertex, u, c.axis, k, 0.0, -1.0, 0.0), (chart,)


def _ellipse(c: EllipseArc) -> tuple[Implicit, tuple[Chart, ...]]:
    """Two charts, w = tan(e / 2) for each half, so that w stays within 1."""
    u, v = c.axis, c.axis.left()
    a, b = c.a, c.b
    k = min(a, b) / 2

    def angle_from(half: float) -> Callable[[float], float]:
        return lambda w: c.turn_to(half + 2 * math.atan(w))

    charts = tuple(
        _chart(
            c.centre, u, v, (-s * a, 0.0, s * a), (0.0, 2 * s * b, 0.0), (1.0, 0.0, 1.0),
            -1.0, 1.0, angle_from(half),
        )
        for s, half in ((1.0, 0.0), (-1.0, math.pi))
    )  # fmt: skip
    return _framed(c.centre, u, v, k / (a * a), k / (b * b), 0.0, -k), charts


def _hyperbola(c: HyperbolaArc) -> tuple[Implicit, tuple[Chart, ...]]:
    """Two charts, w = exp(-|t|) for each half, so that w stays within 1."""
    u, v = c.axis, c.axis.left()
    a, b, k = c.a, c.b, min(c.a, c.b) / 2

    def logarithm(side: float) -> Callable[[float], float]:
        return lambda w: -side * math.log(w)

    charts = tuple(
        _chart(
            c.centre, u, v, (a, 0.0, a), (-s * b * c.sense, 0.0, s * b * c.sense), (0.0, 2.0, 0.0),
            1e-12, 1.0, logarithm(s),
        )
        for s in (1.0, -1.0)
    )  # fmt: skip
    return _framed(c.centre, u, v, k / (a * a), -k / (b * b), 0.0, -k), charts


def implicit_of(track: StraightTrack | ArcTrack | ConicTrack) -> Implicit:
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
    if isinstance(curve, ParabolaArc | EllipseArc | HyperbolaArc):
        return ConicTrack(curve)
    if isinstance(curve, ParametricCurve):
        return ParametricTrack(curve)
    raise TypeError(f"no track for a curve of kind {curve.kind}")
