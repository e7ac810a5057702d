"""Which side of the pupil's own lines a place lies on.

A region is shaded by looking at what was drawn: membership is the condition's, with each
boundary that the pupil drew put where the pupil drew it. Paper frame, real mm. Written
apart from ``loci`` on purpose, so that the truth does not lean on what it checks.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from millimark.loci.answer import Element
from millimark.loci.conditions import (
    AllOf,
    AnyOf,
    AtDistance,
    Condition,
    Distance,
    Equidistant,
    Feature,
    Inside,
    LineOf,
    Nearer,
    Not,
    RayOf,
    SameSide,
    SegmentOf,
)
from millimark.loci.solve import membership
from millimark.plane.point import Point
from millimark.rehearsal.featured import Mask, PrintedFigure, distance, within
from millimark.rehearsal.pencil import PencilStroke, Xy

_MANY = 2000
DOT_MM = 5.0
"""A line shorter than this is a dot: it bounds nothing and points nowhere."""
LATTICE = 2.0
"""mm: what is thinner than this and lies clear of everything else cannot be shaded anyway."""


@dataclass(frozen=True)
class OwnDistance:
    """The pupil's line keeps ``mm`` from the feature, on the whole."""

    feature: Feature
    mm: float


@dataclass(frozen=True)
class OwnBalance:
    """The pupil's line between two features. Straight: through ``at`` along ``along``.
    Otherwise the true one moved by ``bias`` mm of difference in distance."""

    features: tuple[Feature, Feature]
    at: tuple[float, float] | None
    along: tuple[float, float] | None
    bias: float


Own = OwnDistance | OwnBalance


def own_lines(
    elements: Sequence[Element], strokes: Sequence[PencilStroke], figure: PrintedFigure
) -> tuple[Own, ...]:
    """What the pupil's answer lines say; nothing for an element that was not drawn, or dotted."""
    own: list[Own] = []
    for element in elements:
        mine = [s.xy for s in strokes if s.element == element.name and s.role == "answer"]
        xy = np.concatenate(mine) if mine else np.empty((0, 2))
        if len(xy) < 8 or float(np.ptp(xy, axis=0).max()) < DOT_MM:
            continue
        locus = element.locus
        if not isinstance(locus, (AtDistance, Equidistant)):
            continue
        if isinstance(locus, AtDistance):
            own.append(
                OwnDistance(locus.feature, float(distance(locus.feature, figure, xy).mean()))
            )
            continue
        one, two = locus.features[:2]
        if element.kind == "line":
            middle = xy.mean(axis=0)
            _, _, axes = np.linalg.svd(xy - middle, full_matrices=False)
            own.append(OwnBalance((one, two), tuple(middle), tuple(axes[0]), 0.0))
        else:
            gap = distance(one, figure, xy) - distance(two, figure, xy)
            own.append(OwnBalance((one, two), None, None, float(gap.mean())))
    return tuple(own)


def inside(condition: Condition, figure: PrintedFigure, xy: Xy, own: Sequence[Own] = ()) -> Mask:
    """(N,) bool: which points (N, 2) satisfy the condition, by the pupil's lines ``own``."""
    if isinstance(condition, AllOf):
        return _every([inside(c, figure, xy, own) for c in condition.conditions])
    if isinstance(condition, AnyOf):
        return ~_every([~inside(c, figure, xy, own) for c in condition.conditions])
    if isinstance(condition, Not):
        return ~inside(condition.condition, figure, xy, own)
    if isinstance(condition, Distance):
        limit = _own_limit(condition, figure, own)
        near = distance(condition.feature, figure, xy) < limit
        return near if condition.relation in ("<", "<=") else ~near
    if isinstance(condition, Nearer):
        return _every([_nearer(condition.to, o, figure, xy, own) for o in condition.than])
    if isinstance(condition, Inside):
        return within(condition.shape, figure, xy)
    if isinstance(condition, SameSide):
        return _same_side(condition, figure, xy)
    return _as_given(condition, figure, xy)


def _as_given(condition: Condition, figure: PrintedFigure, xy: Xy) -> Mask:
    """A condition whose border this module does not follow: as the exact answer has it.

    Many points are looked up on a lattice first; only those near its border are asked each.
    """
    back, holds = figure.to_paper.inverse(), membership(figure.figure, condition)

    def held(places: Xy) -> Mask:
        truths = [holds(Point(float(x), float(y))) for x, y in back.points(places)]
        return np.array(truths, dtype=np.bool_)

    return held(xy) if len(xy) < _MANY else _near_border_only(held, xy)


def _near_border_only(held: Callable[[Xy], Mask], xy: Xy) -> Mask:
    """``held`` of all points (N, 2), asked only where nodes `LATTICE` mm apart disagree."""
    low = xy.min(axis=0) - LATTICE
    cells = np.floor((xy - low) / LATTICE).astype(int)
    columns, rows = (int(n) + 3 for n in cells.max(axis=0))
    x, y = np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij")
    known = held(low + LATTICE * np.column_stack((x.ravel(), y.ravel()))).reshape(columns, rows)
    # a cell is decided where its four nodes and the twelve round them agree
    around = sliding_window_view(np.pad(known, 1, mode="edge"), (4, 4))
    open_ = np.asarray(around.any(axis=(2, 3)) & ~around.all(axis=(2, 3)))[cells[:, 0], cells[:, 1]]
    inside_: Mask = known[cells[:, 0], cells[:, 1]]
    inside_[open_] = held(xy[open_])
    return inside_


def _every(masks: Sequence[Mask]) -> Mask:
    return np.asarray(np.all(masks, axis=0), dtype=np.bool_)


def _own_limit(condition: Distance, figure: PrintedFigure, own: Sequence[Own]) -> float:
    asked = condition.length * figure.mm_per_cm
    drawn = [
        o.mm for o in own if isinstance(o, OwnDistance) and _alike(o.feature, condition.feature)
    ]
    return min(drawn, key=lambda mm: abs(mm - asked)) if drawn else asked


def _nearer(to: Feature, than: Feature, figure: PrintedFigure, xy: Xy, own: Sequence[Own]) -> Mask:
    gap = distance(to, figure, xy) - distance(than, figure, xy)
    for line in own:
        if not isinstance(line, OwnBalance) or not _between(line, to, than):
            continue
        if line.at is None or line.along is None:
            bias = line.bias if _alike(line.features[0], to) else -line.bias
            return np.asarray(gap < bias, dtype=np.bool_)
        across = np.array([line.along[1], -line.along[0]])
        probes = np.array(line.at) + 20.0 * np.array([across, -across])
        near, far = distance(to, figure, probes) - distance(than, figure, probes)
        side = (xy - np.array(line.at)) @ across
        return np.asarray(side > 0 if near < far else side < 0, dtype=np.bool_)
    return np.asarray(gap < 0, dtype=np.bool_)


def _between(line: OwnBalance, one: Feature, two: Feature) -> bool:
    a, b = line.features
    return (_alike(a, one) and _alike(b, two)) or (_alike(a, two) and _alike(b, one))


def _alike(a: Feature, b: Feature) -> bool:
    """Equal, or straight pieces of one line: a side and an arm part the same angle."""
    straight = (SegmentOf, RayOf, LineOf)
    if isinstance(a, straight) and isinstance(b, straight):
        return {a.a, a.b} == {b.a, b.b}
    return a == b


def _same_side(condition: SameSide, figure: PrintedFigure, xy: Xy) -> Mask:
    a, b = (np.array(figure.points[label]) for label in (condition.line.a, condition.line.b))
    of = np.array(figure.points[condition.of.label])

    def side(p: Xy) -> NDArray[np.float64]:
        return np.asarray((b[0] - a[0]) * (p[..., 1] - a[1]) - (b[1] - a[1]) * (p[..., 0] - a[0]))

    return np.asarray(side(xy) * side(of) > 0, dtype=np.bool_)
