"""Which area is shaded, and whether it is the region that the pupil's own lines bound.

Masks lie on the frame's `Grid`; `cells` says which of them are right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.areas import LEAST_MM2, Pencil, shading_areas, toned_cells
from millimark.marking.cells import EDGE_MM, asked_for, cells_of, right_cells, walls
from millimark.marking.expected import Expected
from millimark.marking.findings import ElementFinding, RegionFinding
from millimark.marking.grid import PER_MM, Cells, Grid, Mask, disc
from millimark.marking.ink import Array, Ink
from millimark.marking.matching import Matching
from millimark.marking.pale_hatching import pale_strokes
from millimark.marking.ruled_alone import ruled_alone
from millimark.marking.unexplained import fills_its_cell, unexplained_share
from millimark.marking.verdict import Verdict
from millimark.scan.reading import FrameReading

_LINE_MM = 1.7
"""Width wiped out along a line or arc before looking for shading, mm."""
_BLUR_MM = 1.8
_DENSITY = 0.025
"""Least mean darkness of shading: 0.4 mm lines of darkness 0.5 every 8 mm give 0.025."""
_CLOSE_MM = 4.5
_TRUE_PROBES, _BEYOND_PROBES, _AROUND = 120, 300, 12
_BEYOND = 0.1
"""Share of the shading beyond the true region from which right lines do not make it right."""
_PARTLY = 0.25
"""Where a line is far off, most of the right cell may lie outside the true region: shading of which
this share is inside it may be meant for that cell."""
_FILLED, _SPILL_MM2 = 0.6, 80.0
"""A cell shaded by more than this share is meant; one outside the region of this area counts."""
_NOTABLE = 0.25
"""Share of the right region with pencil that nothing explains from which the teacher looks."""
_CRAMPED_MM2 = 60.0
_ROOMY_MM2, _ANY = 200.0, 0.03
"""A few strokes fill a region smaller than this: there any such pencil is looked at."""


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
    ``struck`` those that look like a crossing-out or were crossed out.

    An even grey on a photograph is read twice where there is shading besides: as shading, and
    as a shadow.
    """
    if not expect.regions:
        return RegionFinding(asked=False)
    grid = _grid(reading, scale, expect)
    between = grid.drawn(walls(expect, ink, matching, elements), 0.0)
    cells = cells_of(between)
    filling = fills_its_cell(grid, [ink.pieces[k].xy for k in struck], cells)
    meant = frozenset(k for k, fills in zip(struck, filling, strict=True) if fills)
    right, zone = right_cells(grid, cells, expect)
    out = (kept | struck) - meant
    out |= ruled_alone(ink, set(range(len(ink.pieces))) - out)
    ground = _Ground(expect, ink, out, kept, grid, cells, right, zone)
    found = ground.judged(_on_grid(np.where(reading.unseen, 0.0, reading.pencil), grid))
    tone = reading.toned
    if tone is None or not tone.any():
        return found
    bare = ground.judged(_on_grid(np.where(reading.unseen | tone, 0.0, reading.pencil), grid))
    apart = bare.shaded and region_verdict(bare)[0] != region_verdict(found)[0]
    return replace(found, tone_decides=apart)


@dataclass(frozen=True, eq=False)
class _Ground:
    """What shading is judged by: pieces that are not shading, the ``lines`` among them, the cells
    and those that are ``right``, and the ``zone`` in which right and wrong count."""

    expect: Expected
    ink: Ink
    out: frozenset[int]
    lines: frozenset[int]
    grid: Grid
    cells: Cells
    right: Mask
    zone: Mask

    def judged(self, pencil: NDArray[np.float32]) -> RegionFinding:
        """The finding for a picture of the pencil's darkness on the grid."""
        grid, right, zone = self.grid, self.right, self.zone
        shaded = _shaded(grid, pencil, self.ink, self.out, self.cells)
        lines = grid.drawn([self.ink.pieces[k].xy for k in self.lines], _LINE_MM)
        odd = unexplained_share(grid, pencil, lines, right & zone)
        mm2 = 1.0 / grid.per_paper_mm**2
        area = float(shaded.sum()) * mm2
        whole = float(right.sum()) * mm2
        if area < (min(max(LEAST_MM2, 0.01 * whole), 0.35 * whole) if whole else LEAST_MM2):
            traced = grid.drawn([p.xy for p in self.ink.pieces], _LINE_MM)
            pale = pale_strokes(grid, pencil, right & zone & ~traced)
            return RegionFinding(True, area_mm2=area, unexplained=odd, room_mm2=whole, pale=pale)
        judged = shaded & zone
        good = float((judged & right).sum())
        union = float(((judged | right) & zone).sum())
        inside = good / max(float(judged.sum()), 1.0)
        return RegionFinding(
            asked=True,
            shaded=True,
            overlap=good / max(union, 1.0),
            inside=inside,
            filled=good / max(float((right & zone).sum()), 1.0),
            right_side=inside > 0.5,
            spill_mm2=_filled_wrongly(self.cells, shaded, right, zone) * mm2,
            area_mm2=area,
            outline=_outline(grid, shaded),
            unexplained=odd,
            room_mm2=whole,
            inside_true=_inside_true(grid, judged, self.expect),
            beyond_mm2=_beyond_true(grid, shaded & right, self.expect) * mm2,
        )


def _inside_true(grid: Grid, judged: Mask, expect: Expected) -> float:
    """Share of the shading in the region that the true lines bound; 0 without shading."""
    at = _probes(grid, judged, _TRUE_PROBES)
    return float(asked_for(expect)(at).mean()) if len(at) else 0.0


def _beyond_true(grid: Grid, shaded: Mask, expect: Expected) -> float:
    """Grid area of shading farther from the region that the true lines bound than the tolerance
    and the hand's width; 0 without shading."""
    at = _probes(grid, shaded, _BEYOND_PROBES)
    if not len(at):
        return 0.0
    asked = asked_for(expect)
    astray = at[~asked(at)]
    reach = expect.question.tolerance.length_mm + EDGE_MM
    near = np.zeros(len(astray), dtype=bool)
    for turn in np.linspace(0.0, 2.0 * np.pi, _AROUND, endpoint=False):
        near[~near] = asked(astray[~near] + reach * np.array([np.cos(turn), np.sin(turn)]))
    return float((~near).sum()) * float(shaded.sum()) / len(at)


def _probes(grid: Grid, mask: Mask, most: int) -> Array:
    """Paper mm (N, 2) of at most so many of the mask's cells, evenly chosen."""
    rows, cols = np.nonzero(mask)
    pick = np.linspace(0, len(rows) - 1, min(most, len(rows))).astype(int)
    return grid.paper(cols[pick].astype(float), rows[pick].astype(float))


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
    if region.tone_decides:
        return "unsure", (
            "whether your shading is right depends on an even grey area that may be a shadow"
        )
    notable = _NOTABLE if region.room_mm2 > _ROOMY_MM2 else _ANY
    if not region.shaded and (region.unexplained > notable or region.pale):
        return "unsure", "no shading was recognised, but there is pencil in the right region"
    if not region.shaded and 0.0 < region.room_mm2 < _CRAMPED_MM2:
        return "unsure", "the region that your lines bound is too small to see shading in"
    if not region.shaded:
        return "no", "no shading was found"
    inside, filled = 100 * region.inside, 100 * region.filled
    if region.inside >= 0.85 and region.filled >= 0.5 and region.spill_mm2 < _SPILL_MM2:
        if not region.follow_through and region.beyond_mm2 > _BEYOND * region.area_mm2:
            return "unsure", "your shading lies partly beyond the region that the right lines bound"
        return "yes", f"{inside:.0f} % of your shading lies in the right region"
    if region.inside < 0.5:
        return _mostly_outside(region)
    if region.inside >= 0.85:
        if region.filled >= 0.5:
            return "unsure", "your shading also fills an area outside the region"
        return "unsure", f"your shading fills only {filled:.0f} % of the region"
    return "unsure", f"{inside:.0f} % of your shading lies in the right region, the rest outside it"


def _mostly_outside(region: RegionFinding) -> tuple[Verdict, str]:
    """Shading of which less than half lies in the right region."""
    inside = 100 * region.inside
    if region.unexplained > _NOTABLE:
        return "unsure", (
            f"{inside:.0f} % of your shading lies in the right region, which holds more pencil"
        )
    if region.inside_true >= 0.5:
        return "unsure", "your shading is on the right side of the true lines, not of your own"
    if region.follow_through and region.inside_true >= _PARTLY:
        return "unsure", "your own lines leave it open which side of them is the right one"
    return "no", f"only {inside:.0f} % of your shading lies in the right region"


# --- shading ---------------------------------------------------------------------------
def _grid(reading: FrameReading, scale: float, expect: Expected) -> Grid:
    h, w = reading.pencil.shape
    shape = (
        max(1, round(h / reading.px_per_mm * PER_MM)),
        max(1, round(w / reading.px_per_mm * PER_MM)),
    )
    return Grid(shape, expect.frame, PER_MM / scale)


def _on_grid(picture: NDArray[np.floating[Any]], grid: Grid) -> NDArray[np.float32]:
    size = (grid.shape[1], grid.shape[0])
    small = cv2.resize(picture.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.float32)


def _shaded(
    grid: Grid, pencil: NDArray[np.float32], ink: Ink, kept: frozenset[int], cells: Cells
) -> Mask:
    """Where the pencil covers area: dense by itself, or hatched with lines side by side.

    Areas on two sides of a wall are told apart before their size is judged.
    """
    wiped = grid.drawn([ink.pieces[k].xy for k in kept], _LINE_MM)
    strokes = [p.xy for k, p in enumerate(ink.pieces) if k not in kept]
    seen = (~wiped).astype(np.float32)
    sigma = _BLUR_MM * grid.per_paper_mm
    amount = cv2.GaussianBlur(np.where(wiped, np.float32(0.0), pencil), (0, 0), sigma)
    weight = cv2.GaussianBlur(seen, (0, 0), sigma)
    dense = amount / np.maximum(weight, 0.05) > _DENSITY
    hatch = grid.drawn(strokes, 0.5)
    closed = _closed(hatch.astype(np.uint8), grid)
    both = ((dense & _thick(dense, grid)) | closed).astype(np.uint8)
    walls = (cells == 0).astype(np.uint8)
    both[np.asarray(cv2.dilate(walls, disc(1.0, grid))) > 0] = 0
    left = Pencil(pencil, ~wiped, strokes)
    return shading_areas(both, grid, cells, left) | toned_cells(grid, cells, left)


def _closed(hatch: NDArray[np.uint8], grid: Grid) -> Mask:
    joined = cv2.morphologyEx(hatch, cv2.MORPH_CLOSE, disc(_CLOSE_MM, grid))
    opened = cv2.morphologyEx(joined, cv2.MORPH_OPEN, disc(2.5, grid))
    mask: Mask = np.asarray(opened) > 0
    return mask


def _thick(dense: Mask, grid: Grid) -> Mask:
    opened = cv2.morphologyEx(dense.astype(np.uint8), cv2.MORPH_OPEN, disc(2.2, grid))
    mask: Mask = np.asarray(opened) > 0
    return mask


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
