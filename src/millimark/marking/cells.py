"""The cells that a pupil's own lines and the printed figure part the frame into.

Lines are followed across the frame, so that one that stops short still separates. A cell belongs
to the region if most of its inside satisfies the condition: so a region is the one that the
pupil's own lines bound, right or wrong. Masks lie on the frame's `Grid`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cv2
import numpy as np

from millimark.loci.solve import membership
from millimark.marking.candidates import Candidate
from millimark.marking.expected import Expected, Wanted, samples
from millimark.marking.findings import ElementFinding
from millimark.marking.grid import Cells, Grid, Mask
from millimark.marking.ink import Array, Ink
from millimark.marking.matching import Matching
from millimark.plane.curves import Arc, Curve, Line, Segment
from millimark.plane.point import Point

EDGE_MM = 2.0
"""Shading within this of a boundary is neither right nor wrong: a hand's hatching overshoots."""
_PROBES = 40


def walls(
    expect: Expected, ink: Ink, matching: Matching, elements: Sequence[ElementFinding]
) -> list[Array]:
    """The polylines that part the frame: the pupil's lines carried on, and the print."""
    lines: list[Array] = []
    for wanted, found, match in zip(expect.wanted, elements, matching.matches, strict=True):
        if not found.found:
            lines += [samples(c, expect.frame, 0.5) for c in wanted.curves]
        elif wanted.element.kind == "path":
            lines += _path_walls(wanted, matching, match.mains, expect)
        elif _is_of_arcs(wanted):
            lines += _path_walls(wanted, matching, match.mains, expect)
            lines += [ink.pieces[k].xy for k in match.pieces]
        else:
            lines += [samples(c, expect.frame, 0.5) for c in _carried_on(found.drawn)]
            if not found.drawn:
                lines += [ink.pieces[k].xy for k in match.pieces]
    return lines + [samples(c, expect.frame, 0.5) for c in printed(expect)]


def _is_of_arcs(wanted: Wanted) -> bool:
    """Whether a locus is several arcs, as the end of a rope round a corner: none of them goes on
    as a whole circle."""
    return wanted.element.kind == "arc" and len(wanted.curves) > 1


def _carried_on(curves: Sequence[Curve]) -> list[Curve]:
    """Segments as whole lines, arcs as whole circles."""
    return [
        Line(c.a, c.direction)
        if isinstance(c, Segment)
        else Arc(c.centre, c.radius)
        if isinstance(c, Arc)
        else c
        for c in curves
    ]


def _path_walls(
    wanted: Wanted, matching: Matching, mains: Sequence[Candidate], expect: Expected
) -> list[Array]:
    """The path moved to where the pupil drew each of its curves, joined up again."""
    drawn = {matching.targets[m.target].curve: m.offset_mm for m in mains}
    usual = float(np.median(list(drawn.values()))) if drawn else 0.0
    moved = [_moved(c, drawn.get(c, usual), expect) for c in wanted.curves]
    joins = []
    for i, (a, xa) in enumerate(zip(wanted.curves, moved, strict=True)):
        for b, xb in list(zip(wanted.curves, moved, strict=True))[i + 1 :]:
            joins += _joined(a, xa, b, xb)
    return moved + joins


def _joined(a: Curve, xa: Array, b: Curve, xb: Array) -> list[Array]:
    """Short links between moved curves whose ends touched before they were moved."""
    if not (a.bounded and b.bounded):
        return []
    links = []
    for p, q in ((a.start, xa[0]), (a.end, xa[-1])):
        for r, s in ((b.start, xb[0]), (b.end, xb[-1])):
            if p.distance(r) < 1e-3:
                links.append(np.array([q, s]))
    return links


def _moved(curve: Curve, off: float, expect: Expected) -> Array:
    if isinstance(curve, Arc):
        grown = Arc(curve.centre, max(curve.radius + off, 1.0), curve.from_, curve.sweep)
        return samples(grown, expect.frame, 0.5)
    xy = samples(curve, expect.frame, 0.5)
    d = curve.direction_at(0.0 if curve.bounded else max(curve.t0, 0.0))
    return xy + off * np.array([-d.y, d.x])


def printed(expect: Expected) -> list[Curve]:
    """The printed figure's lines, as bounded or unbounded curves in paper mm."""
    figure, p = expect.figure, expect.points
    curves: list[Curve] = [Segment(p[a], p[b]) for a, b in figure.segments]
    curves += [Line(p[a], (p[b] - p[a]).unit()) for a, b in figure.lines + figure.rays]
    for labels in figure.polygons:
        ring = [p[name] for name in labels]
        curves += [Segment(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    for c in figure.circles:
        centre = expect.to_paper(c.centre)
        curves.append(Arc(centre, c.radius * expect.to_paper.scale))
    return curves


def cells_of(between: Mask) -> Cells:
    """Labels (H, W) of the cells that the walls part, from 1; 0 on the walls."""
    # A wall that a thin cell's pixels touch diagonally must still part: 4-connectivity.
    return np.asarray(cv2.connectedComponents((~between).astype(np.uint8), connectivity=4)[1])


def right_cells(grid: Grid, labels: Cells, expect: Expected) -> tuple[Mask, Mask]:
    """Cells of the region, and the zone (away from walls) where shading is judged."""
    open_ = (labels > 0).astype(np.uint8)
    room = cv2.distanceTransform(open_, cv2.DIST_L2, 3)
    right = np.zeros(grid.shape, dtype=bool)
    asked = asked_for(expect)
    for label in range(1, int(labels.max()) + 1):
        cell = labels == label
        if cell.sum() < 8:
            continue
        deep = cell & (room >= 0.5 * float(room[cell].max()))
        rows, cols = np.nonzero(deep)
        pick = np.linspace(0, len(rows) - 1, min(_PROBES, len(rows))).astype(int)
        votes = asked(grid.paper(cols[pick].astype(float), rows[pick].astype(float)))
        if votes.mean() > 0.5:
            right |= cell
    zone = room > EDGE_MM * grid.per_paper_mm
    if not (zone & right).any():
        zone = room > 0.5
    return right, np.asarray(zone)


def asked_for(expect: Expected) -> Callable[[Array], Mask]:
    """Which of paper points (N, 2) mm lie in a region that was asked for, as an (N,) mask."""
    back = expect.to_paper.inverse()
    regions = [membership(expect.figure, c) for c in expect.regions]

    def inside(paper: Array) -> Mask:
        places = [Point(float(x), float(y)) for x, y in back.points(paper)]
        return np.array([any(region(p) for region in regions) for p in places], dtype=bool)

    return inside
