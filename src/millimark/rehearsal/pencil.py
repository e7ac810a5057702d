"""What an invented pupil's pencil did, as values.

Paper frame: real millimetres on the sheet as printed, x right, y down, origin at the
page's top-left corner. Paper mm = print scale x page mm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Role = Literal[
    "answer", "construction", "rival", "mark", "shade", "label", "stray", "cancelled", "scribble",
    "rubbed",
]  # fmt: skip
"""``mark``: what marks a point; ``rival``: a second answer that was left standing; ``cancelled``:
a first try that was crossed out; ``scribble``: what crosses it out; ``rubbed``: what an eraser
left."""

Xy = NDArray[np.float64]


@dataclass(frozen=True)
class Compass:
    """Where the needle stood, paper mm, the opening, mm, and the label it was meant for."""

    centre: tuple[float, float]
    radius: float
    about: str


@dataclass(frozen=True, eq=False)
class PencilStroke:
    """One stroke: centre line ``xy`` (N, 2) float64 paper mm, in drawn order.

    ``element`` names the element that it draws or works for, None for anything else;
    ``part`` which part of it; ``compass`` how an arc was struck. ``width`` mm and
    ``darkness`` 0..1 are the middle values of the line.
    """

    xy: Xy
    role: Role
    element: str | None = None
    part: Literal["straight", "round"] | None = None
    compass: Compass | None = None
    width: float = 0.5
    darkness: float = 0.55

    @property
    def length(self) -> float:
        """Length of the centre line, mm; 0 for a dot."""
        return float(np.hypot(*np.diff(self.xy, axis=0).T).sum()) if len(self.xy) > 1 else 0.0

    def at(self, xy: Xy) -> PencilStroke:
        """The same stroke along another centre line."""
        return replace(self, xy=np.asarray(xy, dtype=np.float64))


@dataclass(frozen=True, eq=False)
class Shading:
    """The area that was shaded: ``mask`` (H, W) bool on a grid over the answer frame.

    The centre of cell (0, 0) lies at ``origin`` (paper mm), cells are ``cell`` mm wide.
    ``tone`` is the darkness of an even grey that was rubbed smooth; 0 where strokes shade.
    """

    mask: NDArray[np.bool_]
    origin: tuple[float, float]
    cell: float
    tone: float = 0.0


@dataclass(frozen=True)
class Hole:
    """Where the needle stood, paper mm, for which point or mark (``about``); the hole's width, mm,
    and how dark it is (0..1) to a flatbed scanner."""

    at: tuple[float, float]
    about: str
    width: float
    depth: float


@dataclass(frozen=True, eq=False)
class Sketch:
    """All that one pupil drew for one question, and the holes of the needle."""

    strokes: tuple[PencilStroke, ...]
    shading: Shading | None = None
    holes: tuple[Hole, ...] = ()


CLOSED_MM = 5.0
"""An arc many times as long whose ends lie closer together is a whole circle."""


ALL_ROUND = 20.0
"""mm: how far a whole circle runs on past a place on it; arcs do so for less."""


def past_ends(at: Xy, *strokes: PencilStroke) -> float:
    """How far, mm, a place (2,) on strokes is from the nearest of their ends."""
    ends = np.concatenate([_loose_ends(stroke) for stroke in strokes])
    return float(np.hypot(*(ends - at).T).min(initial=ALL_ROUND))


def _loose_ends(stroke: PencilStroke) -> Xy:
    """The two ends of a stroke (2, 2); (0, 2) for a whole circle, which has none."""
    ends = stroke.xy[[0, -1]]
    closed = stroke.length > 5 * CLOSED_MM and np.hypot(*(ends[1] - ends[0])) < CLOSED_MM
    return ends[:0] if stroke.compass is not None and closed else ends


def resampled(xy: Xy, step: float) -> Xy:
    """Points every ``step`` mm or less along a polyline, ends kept; a dot stays a dot."""
    if len(xy) < 2:
        return np.asarray(xy, dtype=np.float64)
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))))
    if run[-1] == 0.0:
        return np.asarray(xy[:1], dtype=np.float64)
    at = np.linspace(0.0, run[-1], max(2, int(np.ceil(run[-1] / step)) + 1))
    return np.column_stack((np.interp(at, run, xy[:, 0]), np.interp(at, run, xy[:, 1])))


def normals(xy: Xy) -> Xy:
    """Unit normals (N, 2) of a polyline of at least two points, left of its direction."""
    along = np.gradient(xy, axis=0)
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)
    return np.column_stack((along[:, 1], -along[:, 0])) / size[:, None]
