"""The region where a condition holds: its boundary, measures and special cases."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from millimark.loci.answer import RegionAnswer, Special
from millimark.loci.compiled import Tree
from millimark.loci.leaf import Leaf
from millimark.plane.crossings import meet
from millimark.plane.curves import Curve, Ray
from millimark.plane.joining import joined
from millimark.plane.loops import Chained, chained
from millimark.plane.pieces import JOINT, MERGE, Interval, intervals, middle
from millimark.plane.point import EPS, Point
from millimark.plane.tracks import AnyTrack, track_of

SIDESTEP = 1e-6
"""How far (cm) beside a curve the truth on either side is looked up."""
LONG_STEP = 1e-4
"""The same where two distances part as the square of the step: at the edge of an area of
equality (1e-8 / 2h at h cm from the shared point, well above what rounding leaves)."""
LEVEL = 1e-12
"""Differences of distances (cm) below this are rounding."""


@dataclass(frozen=True)
class Piece:
    """A stretch of boundary with the region on its left, and the leaf it belongs to."""

    curve: Curve
    leaf: int


@dataclass(frozen=True)
class Region:
    """A solved region: its answer, boundary pieces, and what it is if not a region."""

    answer: RegionAnswer
    pieces: tuple[Piece, ...]
    special: Special | None
    thin: tuple[Curve, ...] = ()
    points: tuple[Point, ...] = ()


@dataclass(slots=True)
class _Found:
    """What the arrangement's pieces turned out to be. ``shared`` says that some piece lay on the
    borders of two leaves, so that pieces may coincide."""

    edges: list[Piece]
    thin: list[Piece]
    spans: list[tuple[AnyTrack, list[Interval]]]
    shared: bool = False


def solved(leaves: Sequence[Leaf], tree: Tree) -> Region:
    """The region of a compiled condition. Empty, everything, single points and bare curves are
    told by ``special``."""
    found = _arranged(leaves, tree)
    edges = _once(found.edges) if found.shared else found.edges
    if not edges:
        return _without_edges(leaves, tree, found)
    chains = chained([e.curve for e in edges])
    if not chains.loops:
        return _without_edges(leaves, tree, found)
    return _measured(leaves, tree, edges, chains)


def truth(leaves: Sequence[Leaf], tree: Tree, x: float, y: float, tol: float = EPS) -> bool:
    """Whether the condition holds at (x, y); borders count where their leaf is closed."""
    return tree([_holds(leaf, leaf.value(x, y), tol) for leaf in leaves])


def _holds(leaf: Leaf, value: float, tol: float) -> bool:
    return value > tol or (leaf.closed and value >= -tol)


def _arranged(leaves: Sequence[Leaf], tree: Tree) -> _Found:
    tracks: list[AnyTrack] = []
    owner: list[int] = []
    for i, leaf in enumerate(leaves):
        for c in leaf.curves:
            tracks.append(track_of(c))
            owner.append(i)
    stops = _stops(tracks, owner, leaves)
    found = _Found([], [], [])
    # The own leaf last: where all must hold, another leaf usually rules a piece out.
    orders = [[*leaves[:i], *leaves[i + 1 :], leaf] for i, leaf in enumerate(leaves)]
    for track, at, own in zip(tracks, stops, owner, strict=True):
        spans = intervals(track, at)
        found.spans.append((track, spans))
        for t0, t1 in spans:
            if tree is all:
                _judge_all(track, t0, t1, own, orders[own], found)
            else:
                _judge(track, t0, t1, own, leaves, tree, found)
    return found


def _stops(tracks: list[AnyTrack], owner: list[int], leaves: Sequence[Leaf]) -> list[list[float]]:
    """Parameters of every crossing, on each track."""
    stops: list[list[float]] = [[] for _ in tracks]
    n = len(tracks)
    for i in range(n):
        a, own = tracks[i], owner[i]
        for j in range(i + 1, n):
            if owner[j] == own and not leaves[own].crosses:
                continue
            for t, u in meet(a, tracks[j]):
                stops[i].append(t)
                stops[j].append(u)
    return stops


def _judge_all(
    track: AnyTrack, t0: float, t1: float, own: int, leaves: Sequence[Leaf], found: _Found
) -> None:
    """Sorts one piece where all leaves must hold: an edge of the region, a thin part of it, or
    nothing."""
    mid = (t0 + t1) / 2
    if not -math.inf < mid < math.inf:
        mid = middle(t0, t1)
    x, y = track.at(mid)
    borders: list[Leaf] = []
    for leaf in leaves:
        v = leaf.value(x, y)
        if v < -EPS:
            return
        if v <= EPS:
            borders.append(leaf)
    if not borders:
        return
    step = min(SIDESTEP, 1e-3 * (t1 - t0) * track.speed(mid))
    dx, dy = track.slope(mid)
    left = right = True
    for leaf in borders:
        left = left and _beside(leaf, x, y, -dy, dx, step)
        right = right and _beside(leaf, x, y, dy, -dx, step)
    if len(borders) > 1:
        found.shared = True
    if left != right:
        curve = track.piece(t0, t1)
        found.edges.append(Piece(curve if left else curve.reversed(), own))
    elif not left and all(leaf.closed for leaf in borders):
        found.thin.append(Piece(track.piece(t0, t1), own))


def _judge(
    track: AnyTrack,
    t0: float,
    t1: float,
    own: int,
    leaves: Sequence[Leaf],
    tree: Tree,
    found: _Found,
) -> None:
    """Sorts one piece for any boolean of the leaves."""
    mid = middle(t0, t1)
    x, y = track.at(mid)
    left: list[bool] = []
    right: list[bool] = []
    on: list[bool] = []
    borders = 0
    step = min(SIDESTEP, 1e-3 * (t1 - t0) * track.speed(mid))
    dx, dy = track.slope(mid)
    for leaf in leaves:
        v = leaf.value(x, y)
        if v > EPS or v < -EPS:
            left.append(v > 0)
            right.append(v > 0)
            on.append(v > 0)
        else:
            borders += 1
            left.append(_beside(leaf, x, y, -dy, dx, step))
            right.append(_beside(leaf, x, y, dy, -dx, step))
            on.append(leaf.closed)
    if not borders:
        return
    found.shared = found.shared or borders > 1
    is_left, is_right = tree(left), tree(right)
    if is_left != is_right:
        curve = track.piece(t0, t1)
        found.edges.append(Piece(curve if is_left else curve.reversed(), own))
    elif not is_left and tree(on):
        found.thin.append(Piece(track.piece(t0, t1), own))


def _beside(leaf: Leaf, x: float, y: float, dx: float, dy: float, step: float) -> bool:
    """Whether the leaf holds ``step`` away from (x, y) in the direction (dx, dy)."""
    v = leaf.value(x + dx * step, y + dy * step)
    if -LEVEL < v < LEVEL:
        v = leaf.value(x + dx * LONG_STEP, y + dy * LONG_STEP)
    return v > LEVEL or (leaf.closed and v >= -LEVEL)


def _once(edges: list[Piece]) -> list[Piece]:
    """Edges that coincide, kept once; the first leaf's stays."""
    out: list[Piece] = []
    for e in edges:
        mid = e.curve.point_at(middle(e.curve.t0, e.curve.t1))
        if not any(_same(e.curve, mid, o.curve) for o in out):
            out.append(e)
    return out


def _upward(piece: Piece) -> Piece:
    """The piece run so that its middle goes up (or right): thin pieces have no side to keep."""
    curve = piece.curve
    way = curve.direction_at(middle(curve.t0, curve.t1))
    up = way.y > LEVEL or (way.y >= -LEVEL and way.x > 0)
    return piece if up else Piece(curve.reversed(), piece.leaf)


def _same(curve: Curve, mid: Point, other: Curve) -> bool:
    for end, its in ((curve.t0, other.t0), (curve.t1, other.t1)):
        if math.isfinite(end) != math.isfinite(its):
            return False
        if math.isfinite(end) and curve.point_at(end).distance(other.point_at(its)) > JOINT:
            return False
    return other.distance_to(mid) <= JOINT


def _measured(leaves: Sequence[Leaf], tree: Tree, edges: list[Piece], chains: Chained) -> Region:
    infinite = not all(chains.closed)
    far = _far_truth(leaves, tree)
    bounded = not infinite and not far
    loops = [_run_together([edges[i] for i in loop]) for loop in chains.loops]
    curves = tuple(tuple(p.curve for p in loop) for loop in loops)
    answer = RegionAnswer(
        loops=curves,
        area=math.fsum(chains.areas) if bounded else math.inf,
        perimeter=math.inf if infinite else math.fsum([c.length for p in curves for c in p]),
        bounded=bounded,
        empty=False,
        parts=chains.outer + (1 if far and not infinite else 0),
        inside_point=_inside_point(leaves, tree, [c for loop in curves for c in loop]),
    )
    return Region(answer, tuple(p for loop in loops for p in loop), None)


def _run_together(loop: list[Piece]) -> list[Piece]:
    """The loop's pieces, neighbours of one leaf on one carrier made one."""
    out: list[Piece] = []
    for piece in loop:
        one = joined(out[-1].curve, piece.curve) if out and out[-1].leaf == piece.leaf else None
        if one is None:
            out.append(piece)
        else:
            out[-1] = Piece(one, piece.leaf)
    if len(out) > 1 and out[0].leaf == out[-1].leaf and math.isfinite(out[0].curve.t0):
        one = joined(out[-1].curve, out[0].curve)
        if one is not None:
            out = [Piece(one, out[0].leaf), *out[1:-1]]
    return out


def _far_truth(leaves: Sequence[Leaf], tree: Tree) -> bool:
    """Whether the condition holds far away, in a direction that is nobody's."""
    far = 1e6
    return truth(leaves, tree, far * 0.8130217, far * 0.5822415)


def _inside_point(leaves: Sequence[Leaf], tree: Tree, curves: list[Curve]) -> Point | None:
    """A point inside: the mean of the edges' middles if that will do, else the middle of
    the longest chord square to an edge."""
    mids = [c.point_at(middle(c.t0, c.t1)) for c in curves]
    if len(curves) < 3:
        mids += [c.start for c in curves if math.isfinite(c.t0)]
    n = len(mids)
    mean = Point(sum([p.x for p in mids]) / n, sum([p.y for p in mids]) / n)
    values = [leaf.value(*mean) for leaf in leaves]
    # The values are distances from the borders: keep well clear of all of them.
    clear = 0.1 * max([abs(p.x - mean.x) + abs(p.y - mean.y) for p in mids])
    if min([abs(v) for v in values]) > clear and tree([v > 0 for v in values]):
        return mean
    best: tuple[float, Point] | None = None
    for share in (0.5, 0.4, 0.25, 0.1, 0.01):
        for c, p in zip(curves, mids, strict=False):
            inward = c.direction_at(middle(c.t0, c.t1)).left()
            chord = _chord(p, inward, curves)
            q = p + inward * (chord * share)
            if (best is None or chord > best[0]) and truth(leaves, tree, *q):
                best = (chord, q)
        if best is not None:
            return best[1]
    return None


def _chord(p: Point, inward: Point, curves: list[Curve]) -> float:
    """How far one can go from the boundary point ``p`` before meeting the boundary; 2 if
    that never happens."""
    ray = track_of(Ray(p, inward))
    met = [t for c in curves for t, _ in meet(ray, track_of(c)) if t > MERGE]
    return min(met, default=2.0)


def _without_edges(leaves: Sequence[Leaf], tree: Tree, found: _Found) -> Region:
    """Everything, bare curves, bare points, or nothing."""
    if _everywhere(leaves, tree):
        whole = RegionAnswer((), math.inf, 0.0, False, False, 1, Point(0.0, 0.0))
        return Region(whole, (), "everything")
    if found.thin:
        pieces = _run_together(_once([*map(_upward, found.thin)]))
        thin = tuple(p.curve for p in pieces)
        inside = thin[0].point_at(middle(thin[0].t0, thin[0].t1))
        return Region(
            RegionAnswer((), 0.0, 0.0, all(c.bounded for c in thin), False, 0, inside),
            tuple(pieces),
            "curve",
            thin,
        )
    points: list[Point] = []
    for p in _vertices(leaves, found):
        if truth(leaves, tree, p.x, p.y, MERGE) and all(p.distance(q) > MERGE for q in points):
            points.append(p)
    empty = RegionAnswer((), 0.0, 0.0, True, not points, 0, points[0] if points else None)
    special: Special = "empty" if not points else "point" if len(points) == 1 else "points"
    return Region(empty, (), special, (), tuple(points))


def _vertices(leaves: Sequence[Leaf], found: _Found) -> list[Point]:
    """Every place where borders meet or end, and single border points."""
    out = [p for leaf in leaves for p in leaf.points]
    for track, spans in found.spans:
        out += [Point(*track.at(t)) for span in spans for t in span if math.isfinite(t)]
    return out


def _everywhere(leaves: Sequence[Leaf], tree: Tree) -> bool:
    """Without edges a condition holds everywhere or (nearly) nowhere: ask two odd places."""
    return truth(leaves, tree, 0.7390851, -0.4123107) and _far_truth(leaves, tree)
