"""Short arcs about a known place that were not traced: the picture seen in polar coordinates.

A construction arc of a few millimetres, struck across the answer, another arc and print, falls into
bits too short to be traced as strokes. About its own centre it is a level run of pencil, wherever
other lines cross it; they are not level. Paper millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.faint import Picture
from millimark.marking.ink import STEP_MM, Array, Ink, Piece, tangents
from millimark.plane.point import Point

Dark = NDArray[np.float32]
Mask = NDArray[np.bool_]

_ROW_MM, _TURN = 0.2, 0.004
"""Steps of the polar picture: of the radius, mm, and of the angle, radians."""
_RADII_MM = (7.0, 130.0)
_SIDE_MM, _LIFTED = 0.85, 0.6
"""The paper on either side of a pencil line, mm from its middle, is not even this share as dark."""
_LEAST_DARK, _AS_DARK = 0.05, 0.25
"""Pencil is darker than the first, and than the second share of the answer's other lines."""
_RUNS = ((4.4, 0.5, 0.2), (6.4, 0.4, 0.12))
"""A run this long, mm, is pencil by itself over the first share of it and bare paper over less than
the second; the rest is hidden by print or lies in other lines."""
_SHORTEST_MM, _LONGEST_MM, _THICK_MM = 4.6, 40.0, 1.0
"""Shorter runs are too many, longer ones are traced; rows of one arc lie within the third, mm."""
_BESIDE_MM = 3.0
"""Runs beside a longer one, mm, are made of what crosses it."""
_LEVEL, _WAVES_MM = 0.08, 0.28
"""An arc drifts from its circle by less than this, mm for each mm, and waves by less, rms."""
_TRACED_MM, _ALONG, _MOSTLY = 0.4, math.cos(math.radians(6.0)), 0.6
"""Pencil is traced already where points of a stroke lie this near in its direction; so is an arc of
which more than this share is."""
_AMONG_MM, _AMONG = 1.5, 0.4
"""An arc of which more than this share lies this near to what is barred belongs to that."""
_RULED_MM, _EDGE_MM, _ACROSS = 15.0, 0.25, math.sin(math.radians(10.0))
"""A traced stroke longer than the first, mm, hides what it crosses at more than the angle whose
sine is the third; so much of it lies on either side of its width, mm."""
_GRAIN_MM = 0.08
"""Standard uncertainty of a point of such an arc, mm."""


def with_untraced(
    ink: Ink, picture: Picture, centres: Iterable[Point], barred: frozenset[int]
) -> Ink:
    """The ink with the arcs about the ``centres`` that were not traced, after all other pieces;
    as it is where only traced strokes are to be looked at. What runs among pieces that are
    ``barred`` (hatching, a crossing-out) is none."""
    if not picture.look:
        return ink
    for centre in centres:
        more = [p for p in _untraced(ink, picture, centre) if not _among(ink, p, barred)]
        if more:
            ink = Ink.of([*ink.pieces, *more])
    return ink


def _untraced(ink: Ink, picture: Picture, centre: Point) -> list[Piece]:
    if picture.look > 1:
        picture = behind_strokes(ink, picture, centre)
    view = _Polar.of(picture, centre)
    if view is None or not ink.pieces:
        return []
    usual = float(np.median([p.darkness for p in ink.pieces]))
    stroke = 1 + max(p.stroke for p in ink.pieces)
    runs = _level_runs(view, max(_LEAST_DARK, _AS_DARK * usual))
    arcs = [arc for run in runs if (arc := _piece(view, run, stroke)) is not None]
    found: list[Piece] = []
    for arc in sorted(arcs, key=lambda arc: -arc.length):
        if not _beside_another(arc, found) and not _traced(ink, arc):
            found.append(replace(arc, stroke=stroke + len(found)))
    return found


@dataclass(frozen=True, eq=False)
class _Polar:
    """The picture about a centre: ``dark`` and ``hidden`` (R, A) at radii (R,) mm, angles (A,)."""

    centre: Point
    radii: Array
    angles: Array
    dark: Dark
    hidden: Mask

    @staticmethod
    def of(picture: Picture, centre: Point) -> _Polar | None:
        """None where the centre lies so far away that no arc about it can be seen."""
        x0, y0, x1, y1 = picture.frame
        far = max(math.dist(centre, (x, y)) for x in (x0, x1) for y in (y0, y1))
        radii = np.arange(_RADII_MM[0], min(far, _RADII_MM[1]), _ROW_MM)
        if not len(radii):
            return None
        back = math.atan2(centre.y - (y0 + y1) / 2.0, centre.x - (x0 + x1) / 2.0)
        angles = back + np.arange(0.0, 2.0 * math.pi, _TURN)
        k = picture.pencil.shape[1] / (x1 - x0)
        columns = ((centre.x - x0) + np.outer(radii, np.cos(angles))) * k
        rows = ((centre.y - y0) + np.outer(radii, np.sin(angles))) * k
        at = columns.astype(np.float32), rows.astype(np.float32)
        dark = cv2.remap(picture.pencil, *at, cv2.INTER_LINEAR, borderValue=0.0)
        unseen = picture.hidden.view(np.uint8)
        hidden = cv2.remap(unseen, *at, cv2.INTER_NEAREST, borderValue=1.0)
        return _Polar(centre, radii, angles, np.asarray(dark), np.asarray(hidden) > 0)


def behind_strokes(ink: Ink, picture: Picture, centre: Point) -> Picture:
    """The picture with long strokes that cross the circles about a centre hidden like print: an arc
    that one of them cuts at a small angle is clear of it only at its ends."""
    x0, y0, x1, _ = picture.frame
    k = picture.pencil.shape[1] / (x1 - x0)
    lies = np.zeros(picture.pencil.shape, dtype=np.uint8)
    for piece in ink.pieces:
        if piece.length < _RULED_MM:
            continue
        v = piece.xy - np.array(centre)
        across = np.abs((piece.tangent * v).sum(axis=1)) > _ACROSS * np.hypot(v[:, 0], v[:, 1])
        across |= piece.shape == "line"
        thick = max(1, round((piece.width + 2.0 * _EDGE_MM) * k))
        places = np.round((piece.xy - np.array((x0, y0))) * k).astype(int)
        for i in np.flatnonzero(across[:-1] & across[1:]):
            cv2.line(lies, places[i].tolist(), places[i + 1].tolist(), 1, thick)
    hidden = lies > 0
    bare = np.where(hidden, np.float32(0.0), picture.pencil)
    return replace(picture, pencil=bare, hidden=picture.hidden | hidden)


def _level_runs(view: _Polar, least: float) -> Iterator[tuple[NDArray[np.int_], Array, Array]]:
    """(columns (N,), radii (N,) mm, darkness (N,)) of each level run of pencil."""
    side = round(_SIDE_MM / _ROW_MM)
    dark = np.asarray(cv2.dilate(view.dark, np.ones((3, 3), np.uint8)))
    beside = np.full_like(dark, np.inf)
    beside[side:-side] = np.maximum(view.dark[2 * side :], view.dark[: -2 * side])
    pencil = (dark > least) & ~view.hidden
    alone = pencil & (beside < _LIFTED * dark)
    bare = ~pencil & ~view.hidden
    sums = [np.cumsum(np.pad(m, ((0, 0), (1, 0))), axis=1, dtype=np.int32) for m in (alone, bare)]
    in_run = np.zeros((dark.shape[0], dark.shape[1] + 1), dtype=np.int32)
    start = np.arange(dark.shape[1])
    for run_mm, on, off in _RUNS:
        size = np.maximum(np.round(run_mm / (view.radii * _TURN)).astype(int), 2)[:, None]
        end = np.minimum(start + size, len(start))
        ours, none = ((np.take_along_axis(s, end, axis=1) - s[:, :-1]) / size for s in sums)
        row, column = np.nonzero((ours > on) & (none < off))
        np.add.at(in_run, (row, column), 1)
        np.add.at(in_run, (row, end[row, column]), -1)
    good = np.cumsum(in_run, axis=1)[:, :-1] > 0
    count, _, stats, _ = cv2.connectedComponentsWithStats(good.astype(np.uint8))
    for label in range(1, count):
        left, top, width, height = stats[label][:4]
        length = width * _TURN * view.radii[top]
        if length > _LONGEST_MM or height * _ROW_MM > _THICK_MM + _LEVEL * length:
            continue
        rows = slice(max(0, top - 1), top + height + 1)
        columns = slice(left, left + width)
        weight = np.where(alone[rows, columns], view.dark[rows, columns], 0.0).astype(np.float64)
        total = weight.sum(axis=0)
        there = np.flatnonzero(total > 0.0)
        middle = (weight * view.radii[rows, None]).sum(axis=0)[there] / total[there]
        yield left + there, middle, weight.max(axis=0)[there]


def _piece(view: _Polar, run: tuple[NDArray[np.int_], Array, Array], stroke: int) -> Piece | None:
    """The run as a piece; None where it is not level, or no run."""
    columns, radii, darkness = run
    if len(columns) < 4:
        return None
    radius = float(np.median(radii))
    along = (columns - columns[0]) * _TURN * radius
    if along[-1] < _SHORTEST_MM:
        return None
    slope, level = np.polyfit(along, radii, 1)
    left = radii - (slope * along + level)
    if abs(slope) > _LEVEL or float(np.std(left)) > _WAVES_MM:
        return None
    at = np.arange(0.0, along[-1] + STEP_MM / 2.0, STEP_MM)
    angle = view.angles[columns[0]] + at / radius
    reach = slope * at + level
    xy = np.array(view.centre) + np.column_stack((np.cos(angle), np.sin(angle))) * reach[:, None]
    sigma = np.full(len(xy), _GRAIN_MM)
    return Piece(xy, tangents(xy), sigma, float(np.median(darkness)), 0.5, stroke, "arc")


def _beside_another(arc: Piece, longer: Sequence[Piece]) -> bool:
    """Whether the arc runs beside a longer one: what the other lines at its crossing leave."""
    for other in longer:
        gaps = np.hypot(*(arc.xy[:, None] - other.xy[None]).transpose(2, 0, 1)).min(axis=1)
        if float(np.mean(gaps < _BESIDE_MM)) > 1.0 - _MOSTLY:
            return True
    return False


def _among(ink: Ink, piece: Piece, barred: frozenset[int]) -> bool:
    """Whether the piece runs through the barred ones."""
    from scipy.spatial import cKDTree

    if not barred:
        return False
    away = cKDTree(ink.points(sorted(barred))).query(piece.xy)[0]
    return float(np.mean(away < _AMONG_MM)) > _AMONG


def _traced(ink: Ink, piece: Piece) -> bool:
    """Whether most of the piece lies on another one that runs as it does. The halves of an arc that
    a crossing cut in two are each too short to say much."""
    from scipy.spatial import cKDTree

    near = cKDTree(ink.xy).query_ball_point(piece.xy, _TRACED_MM)
    owner = np.repeat(np.arange(len(ink.pieces)), np.diff(ink.first))
    on = np.zeros(len(ink.pieces), dtype=int)
    for points, way in zip(near, piece.tangent, strict=True):
        along = np.asarray(points, dtype=int)[np.abs(ink.tangent[points] @ way) > _ALONG]
        on[np.unique(owner[along])] += 1
    return bool(on.max() > _MOSTLY * len(piece.xy))
