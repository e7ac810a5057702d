"""Likely causes of points that are not where they belong: two lengths or bearings exchanged.

A point fixed by what is asked from two places lies elsewhere, but exactly, where each was taken
from the other place. Marks there, and none where they belong, say so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from millimark.errors import MillimarkError
from millimark.loci.conditions import AtDistance, Locus, MarkPoints, OnBearing
from millimark.loci.pointed import is_of_points, points_name
from millimark.loci.solve import solve
from millimark.marking.expected import Expected
from millimark.marking.findings import Fault, PointFinding
from millimark.marking.ink import Ink
from millimark.marking.points import faults_of_points, find_points
from millimark.plane.point import Point
from millimark.scan.reading import FrameReading

_APART_MM = 6.0
"""Exchanged points nearer than this to the right ones are the hand's, mm."""


def causes_of_points(
    ink: Ink,
    frame: FrameReading,
    expect: Expected,
    points: tuple[PointFinding, ...],
    map_sigma_mm: float,
) -> tuple[Fault, ...]:
    """What explains points that are missing or off: that they were exchanged where marks stand
    there, else that they are missing, or how far they are off."""
    limit = expect.question.tolerance.length_mm
    found = []
    for name, what, elsewhere in _exchanged(expect):
        mine = [p for p in points if p.points == name]
        right = any(p.off_mm is not None and p.off_mm <= limit for p in mine)
        if not mine or right or any(p.at.distance(q) < _APART_MM for p in mine for q in elsewhere):
            continue
        there = find_points(ink, frame, replace(expect, marked=((name, elsewhere),)), map_sigma_mm)
        if all(p.off_mm is not None and p.off_mm <= limit for p in there):
            text = f"The two {what} are swapped: each was taken from the other's place."
            found.append(Fault("sides-swapped", text, element=name))
    told = {f.element for f in found}
    rest = [p for p in points if p.points not in told]
    return (*found, *faults_of_points(rest, limit))


def _exchanged(expect: Expected) -> Iterator[tuple[str, str, tuple[Point, ...]]]:
    """(name, what is exchanged, the points that come of it, paper mm) of each ask for points."""
    for ask, answer in zip(expect.question.asks, expect.answers, strict=True):
        if not isinstance(ask, MarkPoints) or not is_of_points(answer):
            continue
        turned = _turned(ask.loci)
        if turned is None:
            continue
        what, loci = turned
        try:
            other = solve(expect.figure, replace(ask, loci=loci))
        except MillimarkError:
            continue
        if other.special_points:
            places = tuple(expect.to_paper(p) for p in other.special_points)
            yield points_name(answer), what, places


def _turned(loci: tuple[Locus, ...]) -> tuple[str, tuple[Locus, ...]] | None:
    """What is exchanged, in a word, and the loci with it exchanged; None for other loci."""
    match loci:
        case (AtDistance(length=one) as a, AtDistance(length=two) as b):
            return "distances", (replace(a, length=two), replace(b, length=one))
        case (OnBearing(degrees=one) as a, OnBearing(degrees=two) as b):
            return "bearings", (replace(a, degrees=two), replace(b, degrees=one))
    return None
