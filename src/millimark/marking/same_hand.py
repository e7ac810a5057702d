"""Where the hand went on: a line that no ruler drew, followed round its bends. Paper millimetres.

A bend cuts a line drawn freehand into pieces, a sharp one into strokes, and so does other pencil
that ends there or crosses it. Where the next piece lies ahead and hardly turns, the hand went on
to it. Round a sharper bend it did if two ends meet there and no other line is near; strokes of
hatching, which are known for what they are, may be.
"""

from __future__ import annotations

import math
from collections.abc import Set
from dataclasses import dataclass

import numpy as np

from millimark.marking.disturbed import disturbed
from millimark.marking.ink import STEP_MM, Array, Ink
from millimark.marking.run_ends import is_ruled
from millimark.marking.runs import BEND_COS, SMOOTH_COS
from millimark.marking.targets import REACH_MM, View, places
from millimark.marking.through import circle_through, line_through, strays

_MEETS_MM, _CLEAR_MM = 1.3, 1.5
"""Ends this near to each other meet, if there is no other pencil within the second, mm."""
_AHEAD_MM, _TOUCH_MM = 3.2, 0.6
_AHEAD_COS = math.cos(math.radians(45.0))
"""The next piece begins nearer than the first, mm, and ahead: the way there turns from either end
by less than this angle. Nearer than the second that way is not known."""
_ARC_MM, _COMPASSES_MM = 25.0, 0.1
"""An arc longer than the first, mm, and as steady as the second, rms mm, the compasses drew."""
_SIDE_MM, _STRAIGHT_MM = 10.0, 0.15
"""Two pieces longer than the first and straight to the second, rms mm, make a corner, no bend."""
_WAY = 0.3
"""A piece that goes on makes more than this share of its length along what it was drawn for."""
_SEVERAL, _DRAWN = 5, 0.6
"""What goes on over more millimetres than the first goes on where less than this share is drawn."""
_LETTER_MM = 4.0
"""What is shorter, or goes on for less, mm, may be a stroke of a letter."""
_STRAYS_MM = 6.0
"""What goes on lies no further off than the line has been by more than this, mm, on average."""
_BESIDE_MM = 2.0
"""Nearer than this to where the hand went on nothing disturbs its pencil, mm."""


@dataclass(frozen=True, eq=False)
class _End:
    """One end of a piece: the index of its last point there, the place and the unit direction in
    which the pencil left."""

    piece: int
    at: int
    place: Array
    out: Array

    def faces(self, other: _End, cos: float) -> bool:
        """Whether the two look at each other, turned by less than the angle of this cosine."""
        return float(self.out @ other.out) < -cos

    def leads_to(self, other: _End) -> bool:
        """Whether a line may pass from one to the other with hardly a bend."""
        if not self.faces(other, SMOOTH_COS):
            return False
        gap = other.place - self.place
        size = float(np.hypot(*gap))
        ahead = min(float(gap @ self.out), -float(gap @ other.out))
        return size < _TOUCH_MM or ahead > _AHEAD_COS * size

    def effort(self, other: _End) -> float:
        """How little the other is the next one: the way there, mm, and the turn."""
        return math.dist(self.place, other.place) + float(self.out @ other.out)


def followed(ink: Ink, view: View, line: tuple[int, ...], aside: Set[int]) -> tuple[int, ...]:
    """The pieces of a line and those on which the same hand went on along the target, in order; as
    they are if a ruler or the compasses drew the line. Pieces ``aside`` (strokes of hatching among
    them) are none of it, and in no one's way."""
    if float(ink.lengths[list(line)].sum()) < _LETTER_MM:
        return line
    if is_ruled(ink, line) or any(is_ruled(ink, [k]) for k in line):
        return line
    if view.round_mm and _is_steady(ink, line):
        return line
    found = set(line)
    for end in [end for k in line for end in _ends(ink, k)]:
        found |= _chain(ink, view, end, found, aside)
    if len(found) == len(line):
        return line
    along = ink.means(view.t)
    return tuple(sorted(found, key=lambda k: float(along[k])))


def _is_steady(ink: Ink, line: tuple[int, ...]) -> bool:
    """Whether the longest of the pieces is an arc that no hand draws."""
    longest = ink.pieces[max(line, key=lambda k: float(ink.lengths[k]))]
    if longest.shape != "arc" or longest.length < _ARC_MM:
        return False
    return circle_through(longest.xy)[2] < _COMPASSES_MM


def _chain(ink: Ink, view: View, end: _End, line: Set[int], aside: Set[int]) -> set[int]:
    """The pieces on which the hand went on from an end of the line; none where it did for no longer
    than a stroke of a letter, and met no other piece of the line."""
    found = set[int]()
    while (other := _next(ink, view, end, line | found, aside)) is not None:
        found.add(other.piece)
        end = next(e for e in _ends(ink, other.piece) if e.at != other.at)
    met = any(e.piece in line for e in _near(ink, end, aside))
    long = float(ink.lengths[list(found)].sum()) > _LETTER_MM
    return found if long or met else set()


def _next(ink: Ink, view: View, end: _End, line: Set[int], aside: Set[int]) -> _End | None:
    """The end of the piece on which the hand went on from an end of the line; None where it did
    not, or where the line goes on already."""
    near = _near(ink, end, aside)
    met = [e for e in near if math.dist(e.place, end.place) < _MEETS_MM]
    if any(e.piece in line and end.faces(e, BEND_COS) for e in met):
        return None
    ahead = [e for e in near if view.beside[e.piece] and end.leads_to(e)]
    if ahead:
        other = min(ahead, key=end.effort)
    elif len(met) == 1 and view.beside[met[0].piece] and _bends_to(ink, end, met[0], aside):
        other = met[0]
    else:
        return None
    if other.piece in line or is_ruled(ink, [other.piece]) or _is_drawn(ink, view, other, line):
        return None
    return other if _makes_way(ink, view, end, other, line) else None


def _near(ink: Ink, end: _End, aside: Set[int]) -> list[_End]:
    """The ends of other pieces, not ``aside``, that lie near to an end."""
    tips = np.concatenate((ink.first[:-1], ink.first[1:] - 1))
    owner = np.tile(np.arange(len(ink.pieces)), 2)
    near = np.hypot(*(ink.xy[tips] - end.place).T) < _AHEAD_MM
    near &= (owner != end.piece) & ~np.isin(owner, list(aside))
    at = tips[near].tolist()
    return [e for k in np.unique(owner[near]).tolist() for e in _ends(ink, k) if e.at in at]


def _bends_to(ink: Ink, end: _End, other: _End, aside: Set[int]) -> bool:
    """Whether the hand went on round a sharp bend where two ends meet."""
    bends = end.faces(other, BEND_COS) and not _is_corner(ink, end, other)
    return bends and _is_clear(ink, end, other, aside)


def _is_corner(ink: Ink, end: _End, other: _End) -> bool:
    """Whether two straight lines meet: the pieces' own courses tell, as the corner bends their
    ends."""
    ways = []
    for e in (end, other):
        piece = ink.pieces[e.piece]
        if piece.shape != "line" or piece.length < _SIDE_MM or strays(piece.xy) > _STRAIGHT_MM:
            return False
        middle, way = line_through(piece.xy)
        ways.append(way if float((e.place - middle) @ way) > 0.0 else -way)
    return -float(ways[0] @ ways[1]) < SMOOTH_COS


def _makes_way(ink: Ink, view: View, end: _End, other: _End, line: Set[int]) -> bool:
    """Whether the next piece goes on along the target, the way that the last one came, and not much
    further off than the line has been."""
    ahead = math.copysign(1.0, _way(view, _far(ink, end), end.at))
    on = _way(view, other.at, _far(ink, other)) * ahead > _WAY * ink.pieces[other.piece].length
    span = slice(ink.first[other.piece], ink.first[other.piece + 1])
    off = np.abs(view.u)
    most = max(float(off[ink.first[k] : ink.first[k + 1]].max()) for k in line)
    return on and float(off[span].mean()) < min(REACH_MM, most + _STRAYS_MM)


def _is_drawn(ink: Ink, view: View, other: _End, line: Set[int]) -> bool:
    """Whether the line runs beside most of a piece already."""
    own = places(ink, view, other.piece)
    if len(own) <= _SEVERAL:
        return False
    drawn = set[int]().union(*(places(ink, view, k) for k in line))
    return len(own & drawn) > _DRAWN * len(own)


def _way(view: View, first: int, last: int) -> float:
    """From the place of one point to that of another along the target, mm; the shorter way round a
    circle."""
    way = float(view.t[last] - view.t[first])
    half = view.round_mm / 2.0
    return (way + half) % view.round_mm - half if view.round_mm else way


def _is_clear(ink: Ink, one: _End, other: _End, aside: Set[int]) -> bool:
    """Whether no other pencil than strokes of hatching is where two ends meet, traced or not."""
    of = np.repeat(np.arange(len(ink.pieces)), np.diff(ink.first))
    near = np.hypot(*(ink.xy - (one.place + other.place) / 2.0).T) < _CLEAR_MM
    others = set(of[near].tolist()) - {one.piece, other.piece}
    if others - aside:
        return False
    return bool(others) or not (_is_disturbed(ink, one) or _is_disturbed(ink, other))


def _is_disturbed(ink: Ink, end: _End) -> bool:
    there = disturbed(ink.pieces[end.piece].sigma)
    inward = there if end.at == ink.first[end.piece] else there[::-1]
    return bool(inward[: round(_BESIDE_MM / STEP_MM)].any())


def _ends(ink: Ink, k: int) -> list[_End]:
    """Both ends of a piece."""
    p, first, last = ink.pieces[k], int(ink.first[k]), int(ink.first[k + 1]) - 1
    return [_End(k, first, p.xy[0], -p.tangent[0]), _End(k, last, p.xy[-1], p.tangent[-1])]


def _far(ink: Ink, end: _End) -> int:
    """The index of the last point at a piece's other end."""
    first, last = int(ink.first[end.piece]), int(ink.first[end.piece + 1]) - 1
    return last if end.at == first else first
