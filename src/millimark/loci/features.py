"""Things of the figure that distances are measured from, by the labels of the ``Figure``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PointOf:
    """The point labelled ``label``."""

    label: str


@dataclass(frozen=True)
class SegmentOf:
    """The line segment from ``a`` to ``b``."""

    a: str
    b: str


@dataclass(frozen=True)
class RayOf:
    """The ray from ``a`` through ``b``: the arm of an angle."""

    a: str
    b: str


@dataclass(frozen=True)
class LineOf:
    """The whole line through ``a`` and ``b``."""

    a: str
    b: str


@dataclass(frozen=True)
class PolygonOf:
    """The polygon with these vertices in order; its sides and its inside.

    Distances from it are zero inside: "2 cm outside PQRS". See ``SidesOf``.
    """

    labels: tuple[str, ...]


@dataclass(frozen=True)
class SidesOf:
    """The sides alone of the polygon with these vertices: distances from them count
    inside as well as outside ("2 cm from the sides of PQRS")."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class CircleOf:
    """The given circle called ``name``, the curve alone: distances count inside it too."""

    name: str


@dataclass(frozen=True)
class DiscOf:
    """The given circle called ``name`` with its inside, where distances are zero (a pond)."""

    name: str


@dataclass(frozen=True)
class PolylineOf:
    """The open path of segments through these points in order (a wall with bends)."""

    labels: tuple[str, ...]


Feature = (
    PointOf | SegmentOf | RayOf | LineOf | PolylineOf | PolygonOf | SidesOf | CircleOf | DiscOf
)
