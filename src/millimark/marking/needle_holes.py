"""The hole that the compasses' needle left in the paper, where it can be seen.

A hole is a round dark dot, 0.2 to 0.4 mm wide, alone on clean paper. It is looked for about the
centre of a fitted circle and only believed where no print and no pencil is near it: most needles
stand on a printed cross or a crossing of pencil lines, which hide their holes. A hole that was
not there would be worse than one that was not found. Paper mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from millimark.marking.coverage import Ground
from millimark.marking.expected import Wanted
from millimark.marking.findings import ElementFinding
from millimark.plane.curves import Arc
from millimark.plane.point import Point

Dark = NDArray[np.float32]
Array = NDArray[np.float64]

ASTRAY_MM = 1.0
"""A needle that stood nearer to its point than this is not spoken of."""
MOST_SIGMA_MM = 0.6
"""A centre that is known worse than this says nothing of where the needle stood."""
_HAND_MM = 0.12
"""What a hand's wandering compasses add to how far a hole may lie from the fitted centre: the
needle does not stand still in its hole."""
_FINE_MM, _BROAD_MM = 0.10, 0.30
"""Widths (standard deviations) of the two blurs whose difference stands out at a dot of 0.3 mm."""
_STANDS_OUT, _LEAST_DARK = 6.0, 0.05
"""A dot stands out from the grain by so many times its spread, and is so dark at least (share)."""
_RIM_MM, _ROUND_MM = (0.42, 0.5, 0.6), 0.15
"""Radii of the rings about a dot on which there is clean paper, and of one that lies in it."""
_SEEN = 0.9
"""Share of those rings that no print hides: from under print pencil may come out."""
_OTHER_SHARE, _OTHER_DARK = 0.35, 0.04
"""What is darker on them than this, as a share of the dot or by itself, is other pencil."""
_WIDE, _EVEN = 0.4, 0.4
"""Of its middle's darkness a hole has less on the first ring, and more all round inside."""
_PLACE_MM = 0.02
"""Standard uncertainty of a hole's place in the picture, mm: 0.01 on the rehearsal's scans, whose
holes are round; a real one is torn to one side (common practice, no source)."""
_TURNS = 32
_STEPS = 3


@dataclass(frozen=True)
class NeedleHole:
    """Where the needle stood, paper mm, with its standard uncertainty."""

    at: Point
    sigma_mm: float


def with_needle(element: ElementFinding, ground: Ground, two_tone: bool) -> ElementFinding:
    """The element with the place of its needle, if that is seen; as it is on a black-and-white
    scan, where a speck and a hole are one."""
    if two_tone or element.centre is None or element.offset_sigma_mm is None:
        return element
    hole = needle_hole(ground, element.centre, element.offset_sigma_mm)
    return element if hole is None else replace(element, needle=hole.at)


def needle_astray(wanted: Wanted, element: ElementFinding) -> float | None:
    """How far a needle whose hole was seen stood from the centre that was asked for, if that is
    `ASTRAY_MM` or more; None for loci of several centres."""
    centres = {c.centre for c in wanted.curves if isinstance(c, Arc)}
    if element.needle is None or len(centres) != 1:
        return None
    astray = element.needle.distance(centres.pop())
    return astray if astray > ASTRAY_MM else None


def needle_hole(ground: Ground, centre: Point, sigma_mm: float) -> NeedleHole | None:
    """The hole of a circle about ``centre`` that is known to ``sigma_mm``; None where none is sure:
    none or several dots, or a centre that is not known well enough."""
    if not sigma_mm <= MOST_SIGMA_MM:
        return None
    per_mm = ground.px_per_paper_mm
    at = (np.array(centre) - np.array(ground.frame[:2])) * per_mm - 0.5
    reach = 3.0 * math.hypot(sigma_mm, _HAND_MM, ground.map_sigma_mm)
    part = _Part.of(ground, at, reach + _RIM_MM[-1] + 3.0 * _BROAD_MM)
    dots = [] if part is None else part.dots(at, reach)
    if len(dots) != 1:
        return None
    x, y = (dots[0] + 0.5) / per_mm + np.array(ground.frame[:2])
    return NeedleHole(Point(float(x), float(y)), math.hypot(_PLACE_MM, ground.map_sigma_mm))


@dataclass(frozen=True, eq=False)
class _Part:
    """The pencil (H, W) about a place, blurred a little, and where print hides it; ``corner`` is
    its first pixel in the frame."""

    fine: Dark
    stands_out: Dark
    hidden: Dark
    corner: Array
    per_mm: float

    @classmethod
    def of(cls, ground: Ground, at: Array, reach_mm: float) -> _Part | None:
        """The part within ``reach_mm`` of a place (frame px); None outside the frame."""
        per_mm = ground.px_per_paper_mm
        low = np.maximum(np.floor(at - reach_mm * per_mm).astype(int), 0)
        high = np.ceil(at + reach_mm * per_mm).astype(int) + 1
        box = (slice(low[1], max(high[1], 0)), slice(low[0], max(high[0], 0)))
        pencil = ground.pencil[box]
        if min(pencil.shape) < 2.0 * _RIM_MM[-1] * per_mm:
            return None
        fine = _blurred(pencil, _FINE_MM * per_mm)
        broad = _blurred(pencil, _BROAD_MM * per_mm)
        hidden = ground.hidden[box].astype(np.float32)
        return cls(fine, fine - broad, hidden, low.astype(np.float64), per_mm)

    def dots(self, at: Array, reach_mm: float) -> list[Array]:
        """Frame pixels of all that looks like a hole within ``reach_mm`` of a place (frame px)."""
        clean = self.stands_out[self.hidden < 0.5]
        if not len(clean):
            return []
        grain = 1.4826 * float(np.median(np.abs(clean - np.median(clean))))
        peak = self.stands_out >= cv2.dilate(self.stands_out, np.ones((5, 5), np.uint8))
        peak &= (self.stands_out > _STANDS_OUT * grain) & (self.hidden < 0.5)
        found = []
        for row, column in zip(*np.nonzero(peak), strict=True):
            first = np.array([column, row], dtype=np.float64)
            if np.hypot(*(first + self.corner - at)) > (reach_mm + _FINE_MM) * self.per_mm:
                continue
            place = self._centred(first)
            if place is not None and self._is_hole(place, grain):
                found.append(place + self.corner)
        return [p for p in found if np.hypot(*(p - at)) <= reach_mm * self.per_mm]

    def _centred(self, place: Array) -> Array | None:
        """The centroid of what is darker than the paper about a pixel; None if it runs away."""
        rows, columns = np.indices(self.fine.shape)
        first = place
        for _ in range(_STEPS):
            away = np.hypot(columns - place[0], rows - place[1]) / self.per_mm
            about = self.fine[(away > _RIM_MM[0]) & (away < _RIM_MM[-1])]
            if not len(about):
                return None
            weight = np.clip(self.fine - np.percentile(about, 25), 0.0, None)
            weight = weight * np.clip((0.34 - away) / 0.08, 0.0, 1.0)
            total = float(weight.sum())
            if total <= 0.0:
                return None
            place = np.array([(columns * weight).sum(), (rows * weight).sum()]) / total
            if np.hypot(*(place - first)) > 1.5:
                return None
        return place

    def _is_hole(self, place: Array, grain: float) -> bool:
        """Whether a dot is dark, round, small and alone."""
        rings = [self._ring(self.fine, place, r) for r in _RIM_MM]
        seen = [self._ring(self.hidden, place, r) < 0.5 for r in _RIM_MM]
        if float(np.mean(seen)) < _SEEN:
            return False
        outer = np.concatenate([ring[free] for ring, free in zip(rings[1:], seen[1:], strict=True)])
        paper = float(np.percentile(outer, 25))
        dark = float(self._ring(self.fine, place, 0.0)[0]) - paper
        other = float(outer.max()) - paper
        inside = self._ring(self.fine, place, _ROUND_MM) - paper
        return (
            dark > _LEAST_DARK
            and other < min(_OTHER_SHARE * dark, _OTHER_DARK + 4.0 * grain)
            and float(rings[0][seen[0]].mean()) - paper < _WIDE * dark
            and float(inside.min()) > _EVEN * float(inside.max())
        )

    def _ring(self, image: Dark, place: Array, radius_mm: float) -> Dark:
        """The image on a circle about a place, (_TURNS,), zero outside it."""
        turn = np.linspace(0.0, 2 * math.pi, _TURNS, endpoint=False)
        x = (place[0] + radius_mm * self.per_mm * np.cos(turn)).astype(np.float32)[None]
        y = (place[1] + radius_mm * self.per_mm * np.sin(turn)).astype(np.float32)[None]
        found = cv2.remap(image, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(found[0], dtype=np.float32)


def _blurred(image: Dark, sigma_px: float) -> Dark:
    return np.asarray(cv2.GaussianBlur(image, (0, 0), sigma_px), dtype=np.float32)
