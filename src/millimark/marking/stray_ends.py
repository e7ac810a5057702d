"""Ends that leave their own line or arc: where it runs into another one.

Two lines that part by less than a pencil's width over several millimetres are one ridge, and the
ridge may go on along the wrong one. The middle of a long line says where its end should be: if it
is not there, and other pencil is, the end is no part of it. Nor is the last of a steady line or
arc that turns off into a stroke (of hatching, of a letter) that meets it. Paper millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from millimark.marking.disturbed import disturbed
from millimark.marking.ink import STEP_MM, Array, Piece, apart, unused, without_ends
from millimark.marking.through import circle_through, line_through

_LONG_MM = 30.0
"""A shorter line does not say where its ends should be, mm."""
_MIDDLE = 0.2
"""The line is read between these shares from either end."""
_AWAY_MM, _TIMES = 0.5, 5.0
"""An end that is this far, and so many times the line's own scatter, from where it should be has
left it, mm."""
_LEAST_MM, _MOST = 3.0, 0.3
"""Such an end is longer than the first, mm, and shorter than the second share of the line."""
_HOOKS_MM, _LEAST_HOOK_MM, _OFF_MM = ((6.0, 30.0), (14.0, 50.0)), 0.8, 0.4
"""An arc's end that hooks off along another line is no longer than the first, mm, if the arc's own
course can be read from there to the second; nor shorter than the third. So far off its course, mm,
it has left it."""
_GAP_MM, _LEAST_ON_MM = 3.0, 1.2
"""Other pencil takes the arc over within the first of the hook, and runs on for the second, mm."""
_ON_IT_MM, _COVERED = 0.35, 0.6
"""Other pencil this near to where the end should be, mm, along this share of it, is the line."""
_TURNED_MM, _COURSE_MM, _STEADY_MM = 3.6, 12.0, 0.12
"""The last of a line or arc that turns off into another stroke is shorter than the first, mm, if
its course before that, over up to the second, is as steady as the third, rms mm."""
_GOES_INTO_MM, _SHARPLY, _ALIGNED = 1.6, np.sin(np.radians(20.0)), np.cos(np.radians(25.0))
"""The stroke that it goes into runs this near to its end, mm, in its direction there, and that
is not the direction of its course."""


_OffCourse = Callable[[Array, Array], Array | None]


def without_stray_ends(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, with the ends that leave their line or arc for another one cut off as pieces of
    their own (after all others, so that their order is kept). Such an end is a stroke of its own,
    and what follows it is another one."""
    leaving = [_both_ends(k, pieces) for k in range(len(pieces))]
    fresh = unused(pieces)
    kept, cut, stroke = list[Piece](), list[Piece](), 0
    for k, (piece, (first, last)) in enumerate(zip(pieces, leaving, strict=True)):
        if k == 0 or piece.stroke != pieces[k - 1].stroke:
            stroke = piece.stroke
        elif first or leaving[k - 1][1]:
            stroke = next(fresh)
        own, ends = without_ends(piece, first, last)
        kept += [own] if stroke == own.stroke else apart([own], stroke)
        for end in ends:
            cut += apart([end], next(fresh))
    return kept + cut


def _both_ends(k: int, pieces: Sequence[Piece]) -> tuple[int, int]:
    """Number of points at the start and at the end of a piece that are no part of it."""
    piece = pieces[k]
    if piece.shape == "loose" or piece.length < _TURNED_MM + _COURSE_MM / 2:
        return 0, 0
    others = [p for j, p in enumerate(pieces) if j != k]
    return _leaving(piece, piece.xy, others), _leaving(piece, piece.xy[::-1], others)


def _leaving(piece: Piece, xy: Array, others: Sequence[Piece]) -> int:
    """Number of points at the start of ``xy`` (N, 2), the piece from either end, that are no part
    of its line or arc."""
    found = 0
    if piece.length >= _LONG_MM:
        stray = _stray if piece.shape == "line" else _hooked
        found = stray(xy, [p.xy for p in others])
    if found:
        return found
    theirs = [p for p in others if p.stroke != piece.stroke]
    sigma = piece.sigma if xy is piece.xy else piece.sigma[::-1]
    return _turned(xy, sigma, _off_arc if piece.shape == "arc" else _off_line, theirs)


def _turned(xy: Array, sigma: Array, off_course: _OffCourse, others: Sequence[Piece]) -> int:
    """The same, where the line turns off into a piece of another stroke that meets it there, or
    where other pencil lies on it."""
    most = round(_TURNED_MM / STEP_MM)
    course = slice(most, most + round(_COURSE_MM / STEP_MM))
    off = off_course(xy[course], xy[:most])
    if off is None or abs(off[0]) < _OFF_MM:
        return 0
    back = np.flatnonzero(np.abs(off) < 0.5 * _OFF_MM)
    if not len(back):
        return 0
    count = int(back[0])
    if disturbed(sigma[: count + 1], sigma[course]).any():
        return count
    ahead, along = (xy[0] - xy[min(count, 3)], xy[count] - xy[count + 3])
    ahead, along = (v / max(float(np.hypot(*v)), 1e-9) for v in (ahead, along))
    if abs(float(ahead[0] * along[1] - ahead[1] * along[0])) < _SHARPLY:
        return 0
    return count if any(_runs_on(xy[0], ahead, p) for p in others) else 0


def _runs_on(at: Array, ahead: Array, other: Piece) -> bool:
    """Whether the other piece runs in the direction ``ahead`` near a place."""
    near = np.hypot(*(other.xy - at).T) < _GOES_INTO_MM
    return bool((np.abs(other.tangent[near] @ ahead) > _ALIGNED).any())


def _off_line(course: Array, xy: Array) -> Array | None:
    """Distances (N,) of points from a course (M, 2), carried on as a line that may bend a little;
    None where the course is not steady."""
    centre, along = line_through(course)
    frame = np.column_stack((along, [-along[1], along[0]]))
    t, u = ((course - centre) @ frame).T
    bend = np.polyfit(t, u, 2)
    if float(np.std(u - np.polyval(bend, t))) > _STEADY_MM:
        return None
    t, u = ((xy - centre) @ frame).T
    off: Array = u - np.polyval(bend, t)
    return off


def _off_arc(course: Array, xy: Array) -> Array | None:
    """The same, carried on as a circle."""
    centre, radius, rms = circle_through(course)
    return None if rms > _STEADY_MM else np.hypot(*(xy - centre).T) - radius


def _stray(xy: Array, others: Sequence[Array]) -> int:
    """Number of points at the start of a straight piece (N, 2) that are no part of its line."""
    n = len(xy)
    middle = xy[round(_MIDDLE * n) : n - round(_MIDDLE * n)]
    centre, along = line_through(middle)
    across = np.array([-along[1], along[0]])
    off = np.abs((xy - centre) @ across)
    limit = max(_AWAY_MM, _TIMES * float(np.sqrt((((middle - centre) @ across) ** 2).mean())))
    if off[0] < limit:
        return 0
    back = np.flatnonzero(off < 0.5 * limit)
    count = int(back[0]) if len(back) else n
    if not _LEAST_MM / STEP_MM <= count <= _MOST * n or not others:
        return 0
    t = np.sort((xy[[0, count]] - centre) @ along)
    places = np.concatenate(others) - centre
    near = np.abs(places @ across) < _ON_IT_MM
    there = np.unique(np.round(places[near] @ along))
    seen = ((there >= t[0]) & (there <= t[1])).sum()
    return count if seen >= _COVERED * (t[1] - t[0]) else 0


def _hooked(xy: Array, others: Sequence[Array]) -> int:
    """Number of points at the start of an arc (N, 2) that run off along another line, while other
    pencil, or the other end of a circle, carries the arc on."""
    for hook, course in _HOOKS_MM:
        most, last = round(hook / STEP_MM), round(course / STEP_MM)
        count = _hook(xy, others, most, last) if len(xy) >= last else 0
        if count:
            return count
    return 0


def _hook(xy: Array, others: Sequence[Array], most: int, last: int) -> int:
    """The same, with the arc's course read from its points ``most`` to ``last``."""
    centre, radius, rms = circle_through(xy[most:last])
    off = np.abs(np.hypot(*(xy[:most] - centre).T) - radius)
    if off[0] < _OFF_MM or rms > _OFF_MM / 2:
        return 0
    back = np.flatnonzero(off < 0.5 * _OFF_MM)
    count = int(back[0]) if len(back) else most
    if not _LEAST_HOOK_MM / STEP_MM <= count < most:
        return 0
    places = np.concatenate([*others, xy[last:]]) - centre
    near = places[np.abs(np.hypot(*places.T) - radius) < _ON_IT_MM]
    inner = xy[count] - centre
    ahead = xy[0] - centre
    turn = float(np.arctan2(inner[0] * ahead[1] - inner[1] * ahead[0], inner @ ahead))
    turns = np.arctan2(inner[0] * near[:, 1] - inner[1] * near[:, 0], near @ inner)
    ahead_mm = turns * np.sign(turn) * radius
    taken_over = (ahead_mm > 0.0) & (ahead_mm < abs(turn) * radius + _GAP_MM)
    return count if taken_over.sum() * STEP_MM >= _LEAST_ON_MM else 0
