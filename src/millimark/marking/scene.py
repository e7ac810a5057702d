"""What construction arcs are looked for in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from millimark.marking.faint import Picture
from millimark.marking.ink import Ink
from millimark.plane.point import Point


@dataclass(frozen=True, eq=False)
class Scene:
    """One answer: its ``ink``, the places of the ``points`` by label, paper mm, pieces that are
    ``barred`` (hatching, crossings-out), the paper ``mm_per_cm`` of a centimetre that is asked for,
    and the ``picture``. ``asked`` are the places of points that were to be marked."""

    ink: Ink
    points: Mapping[str, Point]
    barred: frozenset[int]
    mm_per_cm: float
    picture: Picture
    asked: tuple[Point, ...] = ()
