"""Looking labels up in a figure."""

from __future__ import annotations

from collections.abc import Sequence

from millimark.errors import NoAnswerError
from millimark.loci.figure import Figure, GivenCircle
from millimark.plane.point import Point


def place(figure: Figure, label: str) -> Point:
    """Where the point ``label`` stands; NoAnswerError if the figure has none."""
    try:
        return figure.points[label]
    except KeyError:
        known = ", ".join(figure.points) or "none"
        raise NoAnswerError(
            f"There is no point {label} in the figure.", f"Its points are: {known}."
        ) from None


def corners(figure: Figure, labels: Sequence[str]) -> list[Point]:
    """The vertices of a polygon, in order; NoAnswerError if fewer than three."""
    if len(labels) < 3:
        raise NoAnswerError(
            f"{''.join(labels)} has {len(labels)} corners; a polygon has at least 3."
        )
    return [place(figure, label) for label in labels]


def circle(figure: Figure, name: str) -> GivenCircle:
    """The given circle ``name``; NoAnswerError if the figure has none."""
    for given in figure.circles:
        if given.name == name:
            return given
    known = ", ".join(c.name for c in figure.circles) or "none"
    raise NoAnswerError(f"There is no circle {name} in the figure.", f"Its circles are: {known}.")
