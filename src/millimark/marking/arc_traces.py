"""What hints at arcs of a pattern that were not seen: reasons to doubt, never to award.

Paper millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable

from millimark.marking.arc_search import Reading, Search
from millimark.marking.arcs_about import (
    LIMIT_MM,
    NEAR_CROSSING_MM,
    SMALLEST_MM,
    ArcsAbout,
    crossing,
    gap_to,
)
from millimark.marking.faint import runs_by
from millimark.working.acts import LineCut, Needle


def asked_radius_seen(search: Search) -> bool:
    """Whether arcs of a radius that is asked stand about any printed point it is asked for."""
    return any(
        abs(arcs.radius - radius) <= LIMIT_MM and arcs.astray <= LIMIT_MM
        for needle in search.pattern.needles
        if needle.at in search.points and (radius := search.opening(Reading(), needle)) is not None
        for arcs in search.arcs_at(search.points[needle.at])
        if search.ink.lengths[list(arcs.pieces)].sum() >= SMALLEST_MM
    )


def faintly_there(search: Search, readings: Iterable[Reading], needle: Needle) -> bool:
    """Whether pencil that was not traced runs where arcs about a needle would cross those that
    a reading has; not known where their radius is free."""
    for reading in readings:
        number = len(reading.arcs)
        same = [
            arcs.radius
            for other, arcs in zip(search.pattern.needles[:number], reading.arcs, strict=True)
            if other.radius == needle.radius
        ]
        at, asked = search.place(needle.at, reading), search.opening(reading, needle)
        if at is None or (asked is None and not same):
            continue
        ghost = ArcsAbout(at, (), asked if asked is not None else same[0], 0.0, at, 0.0)
        for arcs in reading.arcs:
            places = [crossing(ghost, arcs, side) for side in (-1, 1)]
            if any(
                p is not None
                and gap_to(search.ink, arcs, p) <= NEAR_CROSSING_MM
                and any(runs_by(search.picture, at, ghost.radius, p))
                for p in places
            ):
                return True
    return False


def begun_otherwise(search: Search, best: Reading) -> bool:
    """Whether other arcs than those of the ``best`` reading begin the pattern, and cut the line
    as they should: the rest of theirs may have been lost in other lines."""
    first = search.pattern.needles[0].at
    cuts = [how for how in search.made.values() if isinstance(how, LineCut) and how.of == first]
    for reading in search.carried_on(Reading(), 0):
        arcs = reading.arcs[0]
        if set(arcs.pieces) & set(best.arcs[0].pieces) or arcs.astray > LIMIT_MM:
            continue
        places = [search.cut_place(cut, reading) for cut in cuts]
        if len(places) > 1 and all(
            at is not None and search.gap(arcs, at) <= NEAR_CROSSING_MM for at in places
        ):
            return True
    return False
