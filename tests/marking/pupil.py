"""Invented pencil for the tests of marking: exact curves with seeded noise, as strokes.

Nothing here comes from the rehearsal: marking is tried on strokes whose truth is their formula.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from millimark.loci.conditions import Ask, ShadeRegion
from millimark.loci.figure import Figure
from millimark.loci.solve import solve
from millimark.marking.examine import examine
from millimark.marking.expected import expected
from millimark.marking.findings import QuestionMarks
from millimark.paper.question import Question, Tolerance
from millimark.paper.scheme import default_scheme
from millimark.plane.point import Point
from millimark.scan.reading import FrameReading, PageReading, Source, Stroke
from millimark.sheet.layout import PageMap, QuestionPlace, SheetMap
from millimark.working.instruments import Instruments
from millimark.working.plan import plan

FRAME = (15.0, 40.0, 195.0, 200.0)
PX = 6.0
"""Pixels per page mm of the synthetic pencil picture."""


def question(figure: Figure, *asks: Ask, arcs: bool = True) -> Question:
    answers = [solve(figure, ask) for ask in asks]
    working = plan(figure, answers, Instruments(), (16.0, 14.0))
    evidence = {step.element: step.evidence for step in working.steps}
    tolerance = Tolerance()
    scheme = default_scheme(answers, tolerance, evidence, arcs_required=arcs)
    return Question(
        "1", None, (), (), figure, tuple(asks), len(scheme), tolerance, scheme, tuple(answers)
    )


def place(figure: Figure, at: tuple[float, float] = (105.0, 120.0)) -> QuestionPlace:
    """The figure's origin at ``at`` page mm, unturned."""
    points = {n: (at[0] + 10 * p.x, at[1] - 10 * p.y) for n, p in figure.points.items()}
    return QuestionPlace("1", FRAME, 10.0, points, at)


class Hand:
    """Draws in paper mm, y down. ``noise`` mm rms across, correlated over about 2 mm."""

    def __init__(self, seed: int = 1, noise: float = 0.05, scale: float = 1.0) -> None:
        self.rng = np.random.default_rng(seed)
        self.noise = noise
        self.scale = scale
        self.strokes: list[Stroke] = []
        self.shade = np.zeros(
            (round((FRAME[3] - FRAME[1]) * PX), round((FRAME[2] - FRAME[0]) * PX)), np.float32
        )

        self.unseen = np.zeros(self.shade.shape, dtype=bool)

    def path(self, xy: Sequence[tuple[float, float]] | np.ndarray, darkness: float = 0.55) -> None:
        """One stroke along a polyline in paper mm."""
        xy = np.asarray(xy, dtype=float)
        run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))))
        n = max(3, int(run[-1] / 0.12))
        at = np.linspace(0.0, run[-1], n)
        xy = np.column_stack((np.interp(at, run, xy[:, 0]), np.interp(at, run, xy[:, 1])))
        along = np.gradient(xy, axis=0)
        along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
        wobble = self._wobble(n)
        xy = xy + wobble[:, None] * np.column_stack((along[:, 1], -along[:, 0]))
        page = xy / self.scale
        self.strokes.append(Stroke(page, np.full(n, 0.5), np.full(n, darkness), np.full(n, 0.02)))
        self._ink(page, darkness)

    def line(self, a: Point, b: Point, darkness: float = 0.55) -> None:
        self.path([a, b], darkness)

    def arc(
        self, c: Point, r: float, start: float = 0.0, sweep: float = 360.0, darkness: float = 0.55
    ) -> None:
        """Degrees, clockwise as seen (y down)."""
        t = np.radians(start + np.linspace(0.0, sweep, max(20, int(abs(sweep) * r / 20))))
        self.path(np.column_stack((c.x + r * np.cos(t), c.y + r * np.sin(t))), darkness)

    def crossing_arcs(
        self, a: Point, b: Point, ra: float, rb: float, darkness: float = 0.45
    ) -> None:
        """Short arcs about a and b where the circles cross, on both sides."""
        d = b - a
        for side in (1, -1):
            along = (d.norm() ** 2 + ra**2 - rb**2) / (2 * d.norm())
            up = math.sqrt(max(ra**2 - along**2, 0.0))
            at = a + d.unit() * along + d.unit().left() * (side * up)
            for c, r in ((a, ra), (b, rb)):
                middle = math.degrees((at - c).angle())
                half = math.degrees(8.0 / r)
                self.arc(c, r, middle - half, 2 * half, darkness)

    def hatch(self, inside, spacing: float = 3.0, as_strokes: bool = True) -> None:  # type: ignore[no-untyped-def]
        """45 degree hatching where ``inside(x, y)`` of paper mm holds."""
        x0, y0, x1, y1 = (v * self.scale for v in FRAME)
        for c in np.arange(x0 - y1, x1 - y0, spacing * math.sqrt(2)):
            t = np.arange(y0, y1, 0.3)
            xy = np.column_stack((t + c, t))
            ok = np.array([inside(x, y) and x0 < x < x1 for x, y in xy])
            for run in np.split(np.arange(len(t)), np.flatnonzero(np.diff(ok.astype(int))) + 1):
                if ok[run[0]] and len(run) > 8:
                    self.path(xy[run], 0.4)
        if not as_strokes:
            self.strokes = self.strokes[:0]

    def flat(self, inside, darkness: float = 0.2) -> None:  # type: ignore[no-untyped-def]
        """Even grey where ``inside(x, y)`` of paper mm holds; no strokes."""
        h, w = self.shade.shape
        cols, rows = np.meshgrid((np.arange(w) + 0.5) / PX, (np.arange(h) + 0.5) / PX)
        x, y = (cols + FRAME[0]) * self.scale, (rows + FRAME[1]) * self.scale
        mask = np.vectorize(inside)(x, y)
        self.shade[mask] = np.maximum(self.shade[mask], darkness)

    def _wobble(self, n: int) -> np.ndarray:
        white = self.rng.normal(size=n + 40)
        kernel = np.hanning(19)
        smooth = np.convolve(white, kernel / np.sqrt((kernel**2).sum()), mode="same")
        return self.noise * smooth[20 : 20 + n]

    def _ink(self, page: np.ndarray, darkness: float) -> None:
        import cv2

        at = np.round(((page - FRAME[:2]) * PX - 0.5) * 16).astype(np.int32)
        cv2.polylines(self.shade, [at], False, float(darkness), 2, cv2.LINE_8, 4)

    def reading(self, q: Question, where: QuestionPlace) -> tuple[FrameReading, PageReading]:
        frame = FrameReading(
            "1",
            tuple(self.strokes),
            (255 * (1 - self.shade)).astype(np.uint8),
            self.shade,
            self.unseen,
            PX,
        )
        page_map = PageMap(1, 1, 210.0, 297.0, (where,), (), (), ())
        sheet = SheetMap("S0001", None, (page_map,))
        page = PageReading(
            Source("test", 1), sheet, page_map, self.scale, "scanner", 0.0005, 0.03, 0.03, (frame,)
        )
        return frame, page

    def marked(self, q: Question) -> QuestionMarks:
        return self.marked_at(q, place(q.figure))

    def marked_at(self, q: Question, where: QuestionPlace) -> QuestionMarks:
        frame, page = self.reading(q, where)
        return examine(q, expected(q, where, self.scale), frame, page)


def on_paper(q: Question, scale: float = 1.0) -> dict[str, Point]:
    """The printed points in paper mm."""
    return {n: Point(x * scale, y * scale) for n, (x, y) in place(q.figure).points.items()}


def region(condition) -> ShadeRegion:  # type: ignore[no-untyped-def]
    return ShadeRegion(condition)
