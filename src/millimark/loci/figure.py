"""The figure: what a question gives, at true size.

Figure centimetres, y up. A figure is a value: labels, where they stand, and which lines
are printed. It is made by ``words`` and read by every stage after it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from millimark.plane.point import Point


@dataclass(frozen=True)
class GivenCircle:
    """A circle that is printed: centre label (or None for an unlabelled centre)."""

    name: str
    centre: Point
    radius: float
    centre_label: str | None = None


@dataclass(frozen=True)
class Figure:
    """Labelled points and the lines printed between them.

    ``points`` maps a label to its place, in order of first mention. ``segments``
    are printed from label to label, ``lines`` and ``rays``
    run on past their points to the edge of the
    answer frame, ``polygons`` are closed and named by their vertices in order.
    """

    points: Mapping[str, Point] = field(default_factory=dict)
    segments: tuple[tuple[str, str], ...] = ()
    rays: tuple[tuple[str, str], ...] = ()
    lines: tuple[tuple[str, str], ...] = ()
    polygons: tuple[tuple[str, ...], ...] = ()
    circles: tuple[GivenCircle, ...] = ()

    def scaled(self, k: float) -> Figure:
        """The figure as it is on paper printed at ``k`` times its size."""
        return replace(
            self,
            points={name: p * k for name, p in self.points.items()},
            circles=tuple(
                replace(c, centre=c.centre * k, radius=c.radius * k) for c in self.circles
            ),
        )
