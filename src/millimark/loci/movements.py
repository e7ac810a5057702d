"""Loci of points that move: with a point that runs along something, rolling, on a rope."""

from __future__ import annotations

from dataclasses import dataclass

from millimark.loci.features import (
    CircleOf,
    DiscOf,
    LineOf,
    PointOf,
    PolygonOf,
    PolylineOf,
    RayOf,
    SegmentOf,
    SidesOf,
)


@dataclass(frozen=True)
class MidpointsFrom:
    """Midpoints of ``of`` and a point that runs along ``along``: ``along`` at half size.

    ``share`` other than 1/2 divides the join at that share of the way from ``of``.
    """

    of: PointOf
    along: SegmentOf | RayOf | LineOf | PolylineOf | SidesOf | CircleOf
    share: float = 0.5


@dataclass(frozen=True)
class FootOfPerpendicular:
    """Feet of the perpendiculars from ``of`` to every line through ``about``: the circle on
    these two points as diameter."""

    of: PointOf
    about: PointOf


@dataclass(frozen=True)
class ChordMidpoints:
    """Midpoints of the chords of a circle that are ``length`` cm long, or that pass through
    ``through`` (its part inside the circle); exactly one of the two is given."""

    circle: CircleOf
    length: float | None = None
    through: PointOf | None = None


@dataclass(frozen=True)
class Ladder:
    """A point of a ladder of ``length`` cm whose foot slides along the ray ``corner`` to ``floor``
    while its top slides along the ray ``corner`` to ``wall``, from standing to lying.

    The point is ``share`` of the way up from the foot; 1/2 is the midpoint (a quarter circle
    where floor and wall are at right angles), others give arcs of ellipses.
    """

    corner: PointOf
    floor: PointOf
    wall: PointOf
    length: float
    share: float = 0.5


@dataclass(frozen=True)
class RollingShape:
    """The path of one point of a polygon that rolls without slipping.

    ``shape`` stands in the figure with one side on ``along``; it rolls from ``along``'s first
    label towards its second (round the outside of a polygon: that side first, then on round
    until it is back on it). ``traced`` is any labelled point, carried along with the shape;
    None is the shape's centre (the mean of its corners). ``rolls`` is how many times it tips
    over; None: one full turn of the shape along a line, once round a polygon.
    """

    shape: PolygonOf
    along: LineOf | SegmentOf | PolygonOf
    traced: PointOf | None = None
    rolls: int | None = None


@dataclass(frozen=True)
class WheelCentre:
    """The path of the centre of a wheel of ``radius`` cm that rolls along ``along``: on both sides
    of a line, segment or polyline, outside or inside a polygon or circle (``inside``)."""

    radius: float
    along: LineOf | SegmentOf | PolylineOf | PolygonOf | CircleOf
    inside: bool = False


@dataclass(frozen=True)
class RimPoint:
    """The path of the point of a wheel's rim that touches the ground at ``start``: a cycloid.

    The wheel of ``radius`` cm rolls from ``start`` towards ``towards`` on the left of that
    direction, for ``turns`` turns.
    """

    radius: float
    start: PointOf
    towards: PointOf
    turns: float = 1.0


@dataclass(frozen=True)
class RopeEnd:
    """The end of a taut rope of ``length`` cm fixed at ``anchor`` that bends round the obstacles:
    the edge of what ``WithinRope`` reaches, without the walls."""

    anchor: PointOf
    length: float
    obstacles: tuple[PolygonOf | DiscOf, ...] = ()
