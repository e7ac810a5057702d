"""Which area is shaded, and whether it is the region that the pupil's own lines bound.

The frame is cut into cells by the pupil's own lines (followed across the frame, so that a
line that stops short still separates) and by the printed figure. A cell belongs to
the region if most of its inside satisfies the condition; so shading is judged against the
pupil's own boundary, right or wrong. Masks lie on the frame's `Grid`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.loci.solve import membership
from millimark.marking.candidates import Candidate
from millimark.marking.expected import Expected, Wanted, samples
from millimark.marking.findings import ElementFinding, RegionFinding
from millimark.marking.grid import PER_MM, Cells, Grid, Mask, disc
from millimark.marking.ink import Array
from millimark.marking.matching import Matching
from millimark.marking.primitives import Ink
from millimark.marking.unexplained import fills_its_cell, looks_toned, unexplained_share
from millimark.marking.verdict import Verdict
from millimark.plane.curves import Arc, Curve, Line, Segment
from millimark.plane.point import Point
from millimark.scan.reading import FrameReading

_LINE_MM = 1.7
"""Width wiped out along a line or arc before looking for shading, mm."""
_BLUR_MM = 1.8
_DENSITY = 0.025
"""Least mean darkness of shading: 0.4 mm lines of darkness 0.5 every 8 mm give 0.025."""
_CLOSE_MM = 4.5
_LEAST_MM2 = 60.0
_BAND_MM = 5.0
"""Half the width of a crossing-out, at most."""
_EDGE_MM = 2.0
"""Shading within this of a boundary is neither right nor wrong: a hand's hatching overshoots."""
_PROBES, _TRUE_PROBES = 40, 120
_FILLED, _SPILL_MM2 = 0.6, 80.0
"""A cell shaded by more than this share is meant; one outside the region of this area counts."""
_NOTABLE = 0.25
"""Share of the right region with pencil that nothing explains from which the teacher looks."""


def judge_region(
    reading: FrameReading,
    scale: float,
    expect: Expected,
    ink: Ink,
    matching: Matching,
    kept: frozenset[int],
    struck: frozenset[int],
    elements: Sequence[ElementFinding],
) -> RegionFinding:
    """Shading against the region. ``kept`` holds the pieces known to be lines or arcs,
    ``struck`` those that look like a crossing-out or were crossed out."""
    if not expect.regions:
        return RegionFinding(asked=False)
    grid, pencil = _grid(reading, scale, expect)
    walls = grid.drawn(_walls(expect, ink, matching, elements), 0.0)
    cells = _cells(walls)
    filling = fills_its_cell(grid, [ink.pieces[k].xy for k in struck], cells)
    meant = frozenset(k for k, fills in zip(struck, filling, strict=True) if fills)
    shaded = _shaded(grid, pencil, ink, (kept | struck) - meant, cells)
    right, zone = _right_cells(grid, cells, expect)
    lines = grid.drawn([ink.pieces[k].xy for k in kept], _LINE_MM)
    odd = unexplained_share(grid, pencil, lines, right & zone)
    mm2 = 1.0 / grid.per_paper_mm**2
    area = float(shaded.sum()) * mm2
    whole = float(right.sum()) * mm2
    if area < (min(max(_LEAST_MM2, 0.01 * whole), 0.35 * whole) if whole else _LEAST_MM2):
        if looks_toned(grid, reading.picture, right):
            odd = 1.0
        return RegionFinding(asked=True, area_mm2=area, unexplained=odd)
    judged = shaded & zone
    good = float((judged & right).sum())
    union = float(((judged | right) & zone).sum())
    inside = good / max(float(judged.sum()), 1.0)
    filled = good / max(float((right & zone).sum()), 1.0)
    return RegionFinding(
        asked=True,
        shaded=True,
        overlap=good / max(union, 1.0),
        inside=inside,
        filled=filled,
        right_side=inside > 0.5,
        spill_mm2=_filled_wrongly(cells, shaded, right, zone) * mm2,
        area_mm2=area,
        outline=_outline(grid, shaded),
        unexplained=odd,
        inside_true=_inside_true(grid, judged, expect),
    )


def _inside_true(grid: Grid, judged: Mask, expect: Expected) -> float:
    """Share of the shading in the region that the true lines bound; 0 without shading."""
    rows, cols = np.nonzero(judged)
    if not len(rows):
        return 0.0
    pick = np.linspace(0, len(rows) - 1, min(_TRUE_PROBES, len(rows))).astype(int)
    at = grid.paper(cols[pick].astype(float), rows[pick].astype(float))
    return float(_asked(expect)(at).mean())


def _filled_wrongly(cells: Cells, shaded: Mask, right: Mask, zone: Mask) -> float:
    """Grid area of cells outside the region that are mostly shaded."""
    total = 0.0
    for label in range(1, int(cells.max()) + 1):
        cell = cells == label
        inner = cell & zone
        if not inner.any() or right[cell].any():
            continue
        if float(shaded[inner].mean()) > _FILLED:
            total += float(cell.sum())
    return total


def region_verdict(region: RegionFinding) -> tuple[Verdict, str]:
    """Whether the shading earns its mark, and why. Thresholds: common practice, no source."""
    if not region.shaded and region.unexplained > _NOTABLE:
        return "unsure", "no shading was recognised, but there is pencil in the right region"
    if not region.shaded:
        return "no", "no shading was found"
    inside, filled = 100 * region.inside, 100 * region.filled
    if region.inside >= 0.85 and region.filled >= 0.5 and region.spill_mm2 < _SPILL_MM2:
        return "yes", f"{inside:.0f} % of your shading lies in the right region"
    if region.inside < 0.5 and region.unexplained > _NOTABLE:
        return "unsure", (
            f"{inside:.0f} % of your shading lies in the right region, which holds more pencil"
        )
    if region.inside < 0.5 and region.inside_true >= 0.5:
        return "unsure", "your shading is on the right side of the true lines, not of your own"
    if region.inside < 0.5:
        return "no", f"only {inside:.0f} % of your shading lies in the right region"
    if region.inside >= 0.85:
        if region.filled >= 0.5:
            return "unsure", "your shading also fills an area outside the region"
        return "unsure", f"your shading fills only {filled:.0f} % of the region"
    return "unsure", f"{inside:.0f} % of your shading lies in the right region, the rest outside it"


# --- shading ---------------------------------------------------------------------------
def _grid(
    reading: FrameReading, scale: float, expect: Expected
) -> tuple[Grid, NDArray[np.float32]]:
    h, w = reading.pencil.shape
    shape = (
        max(1, round(h / reading.px_per_mm * PER_MM)),
        max(1, round(w / reading.px_per_mm * PER_MM)),
    )
    small = cv2.resize(
        np.where(reading.unseen, np.float32(0.0), reading.pencil).astype(np.float32),
        (shape[1], shape[0]),
        interpolation=cv2.INTER_AREA,
    )
    return Grid(shape, expect.frame, PER_MM / scale), np.asarray(small, dtype=np.float32)


def _shaded(
    grid: Grid, pencil: NDArray[np.float32], ink: Ink, kept: frozenset[int], cells: Cells
) -> Mask:
    """Where the pencil covers area: dense by itself, or hatched with lines side by side.

    Areas on two sides of a wall are told apart before their size is judged.
    """
    lines = [ink.pieces[k].xy for k in kept]
    wiped = grid.drawn(lines, _LINE_MM)
    seen = (~wiped).astype(np.float32)
    sigma = _BLUR_MM * grid.per_paper_mm
    amount = cv2.GaussianBlur(np.where(wiped, np.float32(0.0), pencil), (0, 0), sigma)
    weight = cv2.GaussianBlur(seen, (0, 0), sigma)
    dense = amount / np.maximum(weight, 0.05) > _DENSITY
    hatch = grid.drawn([p.xy for k, p in enumerate(ink.pieces) if k not in kept], 0.5)
    closed = _closed(hatch.astype(np.uint8), grid)
    both = ((dense & _thick(dense, grid)) | closed).astype(np.uint8)
    walls = (cells == 0).astype(np.uint8)
    both[np.asarray(cv2.dilate(walls, disc(1.0, grid))) > 0] = 0
    return _large(both, grid, cells)


def _closed(hatch: NDArray[np.uint8], grid: Grid) -> Mask:
    joined = cv2.morphologyEx(hatch, cv2.MORPH_CLOSE, disc(_CLOSE_MM, grid))
    opened = cv2.morphologyEx(joined, cv2.MORPH_OPEN, disc(2.5, grid))
    mask: Mask = np.asarray(opened) > 0
    return mask


def _thick(dense: Mask, grid: Grid) -> Mask:
    opened = cv2.morphologyEx(dense.astype(np.uint8), cv2.MORPH_OPEN, disc(2.2, grid))
    mask: Mask = np.asarray(opened) > 0
    return mask


def _large(mask: NDArray[np.uint8], grid: Grid, cells: Cells) -> Mask:
    """Connected areas of some size only: letters and blots are not shading, nor is a narrow
    band, beside a much larger area, that does not fill its cell (a try that was crossed out)."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    depth = cv2.distanceTransform(mask, cv2.DIST_L2, 3)
    room = np.bincount(cells.ravel())
    area = stats[:, cv2.CC_STAT_AREA]
    largest = float(area[1:].max()) if count > 1 else 0.0
    big = []
    for k in range(1, count):
        part = labels == k
        half = float(depth[part].max()) / grid.per_paper_mm
        cell = int(np.bincount(cells[part]).argmax())
        band = half < _BAND_MM and area[k] < 0.4 * largest and area[k] < 0.4 * room[cell]
        if area[k] >= 0.6 * _LEAST_MM2 * grid.per_paper_mm**2 and not band:
            big.append(k)
    kept: Mask = np.isin(labels, big)
    return kept


# --- cells -----------------------------------------------------------------------------
def _walls(
    expect: Expected, ink: Ink, matching: Matching, elements: Sequence[ElementFinding]
) -> list[Array]:
    """The polylines that part the frame: the pupil's lines carried on, and the print."""
    lines: list[Array] = []
    for wanted, found, match in zip(expect.wanted, elements, matching.matches, strict=True):
        if not found.found:
            lines += [samples(c, expect.frame, 0.5) for c in wanted.curves]
        elif wanted.element.kind == "path":
            lines += _path_walls(wanted, matching, match.mains, expect)
        else:
            lines += [samples(c, expect.frame, 0.5) for c in _carried_on(found.drawn)]
            if not found.drawn:
                lines += [ink.pieces[k].xy for k in match.pieces]
    return lines + [samples(c, expect.frame, 0.5) for c in printed(expect)]


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


def _cells(walls: Mask) -> Cells:
    """Labels (H, W) of the cells that the walls part, from 1; 0 on the walls."""
    # A wall that a thin cell's pixels touch diagonally must still part: 4-connectivity.
    return np.asarray(cv2.connectedComponents((~walls).astype(np.uint8), connectivity=4)[1])


def _right_cells(grid: Grid, labels: Cells, expect: Expected) -> tuple[Mask, Mask]:
    """Cells of the region, and the zone (away from walls) where shading is judged."""
    open_ = (labels > 0).astype(np.uint8)
    room = cv2.distanceTransform(open_, cv2.DIST_L2, 3)
    right = np.zeros(grid.shape, dtype=bool)
    asked = _asked(expect)
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
    zone = room > _EDGE_MM * grid.per_paper_mm
    if not (zone & right).any():
        zone = room > 0.5
    return right, np.asarray(zone)


def _asked(expect: Expected) -> Callable[[Array], Mask]:
    """Which of paper points (N, 2) mm lie in a region that was asked for, as an (N,) mask."""
    back = expect.to_paper.inverse()
    regions = [membership(expect.figure, c) for c in expect.regions]

    def inside(paper: Array) -> Mask:
        places = [Point(float(x), float(y)) for x, y in back.points(paper)]
        return np.array([any(region(p) for region in regions) for p in places], dtype=bool)

    return inside


def _outline(grid: Grid, mask: Mask) -> tuple[Array, ...]:
    contours, _ = cv2.findContours(
        mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_TC89_L1
    )
    rings = []
    for c in contours:
        at = c.reshape(-1, 2).astype(np.float64)
        if len(at) > 2:
            rings.append(grid.paper(at[:, 0], at[:, 1]))
    return tuple(rings)
