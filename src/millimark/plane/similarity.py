"""Changes of frame: the one owner of figure centimetres <-> page millimetres."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from millimark.plane.point import ORIGIN, Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Similarity:
    """p -> origin + scale * R(turn) * F p, F a reflection in the x axis if ``flip``.

    ``origin`` is where (0, 0) goes; ``turn`` in radians; ``scale`` > 0.
    """

    origin: Point = ORIGIN
    scale: float = 1.0
    turn: float = 0.0
    flip: bool = False

    def __call__(self, p: Point) -> Point:
        a, b, c, d = self.matrix
        return Point(self.origin.x + a * p.x + b * p.y, self.origin.y + c * p.x + d * p.y)

    @property
    def matrix(self) -> tuple[float, float, float, float]:
        """Rows (a, b), (c, d) of the linear part."""
        c, s = self.scale * math.cos(self.turn), self.scale * math.sin(self.turn)
        return (c, s, s, -c) if self.flip else (c, -s, s, c)

    def points(self, xy: NDArray[np.float64]) -> NDArray[np.float64]:
        """The images of an (N, 2) array of points, as an (N, 2) array."""
        import numpy as np

        m = np.array(self.matrix, dtype=np.float64).reshape(2, 2)
        image: NDArray[np.float64] = np.asarray(xy, dtype=np.float64) @ m.T + np.array(self.origin)
        return image

    def angle(self, a: float) -> float:
        """The direction (radians) that direction ``a`` takes."""
        return self.turn - a if self.flip else self.turn + a

    def inverse(self) -> Similarity:
        """The similarity that undoes this one."""
        turn = self.turn if self.flip else -self.turn
        linear = Similarity(ORIGIN, 1.0 / self.scale, turn, self.flip)
        return Similarity(-linear(self.origin), 1.0 / self.scale, turn, self.flip)

    def after(self, first: Similarity) -> Similarity:
        """The similarity that does ``first``, then this one."""
        turn = self.turn - first.turn if self.flip else self.turn + first.turn
        return Similarity(
            self(first.origin), self.scale * first.scale, turn, self.flip != first.flip
        )


def page_frame(
    origin_mm: Point, mm_per_cm: float = 10.0, turn_deg: float = 0.0, mirror: bool = False
) -> Similarity:
    """Figure centimetres (y up) to page millimetres (y down, origin at the top left).

    The figure's origin goes to ``origin_mm``; the figure is turned by ``turn_deg``
    anticlockwise as seen on the page, after being mirrored left to right if ``mirror``.
    """
    turn = -math.radians(turn_deg)
    if mirror:
        return Similarity(origin_mm, mm_per_cm, turn + math.pi, flip=False)
    return Similarity(origin_mm, mm_per_cm, turn, flip=True)
