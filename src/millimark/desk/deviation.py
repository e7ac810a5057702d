"""How far a pupil's line runs from the locus, drawn along it: mm off against mm of way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

WIDTH, HEIGHT = 420.0, 132.0
"""Of the whole drawing, in its own units."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 8.0, 8.0, 24.0
_BETWEEN_MM = 6.0
"""Way left blank between two parts of a locus, mm."""
_STEPS_MM = (5, 10, 20, 50, 100)
_MOST_TICKS = 7


@dataclass(frozen=True)
class Tick:
    """A place on an axis and what stands there."""

    at: float
    text: str


@dataclass(frozen=True)
class Profile:
    """One element's deviation. ``lines`` are polylines ("x,y x,y …"), ``beyond`` the parts of them
    outside the band; ``band`` the tolerance band's top and bottom; ``told`` the same in words."""

    element: str
    told: str
    lines: tuple[str, ...]
    beyond: tuple[str, ...]
    band: tuple[float, float]
    middle: float
    ways: tuple[Tick, ...]
    offs: tuple[Tick, ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT
    right: float = WIDTH - _RIGHT
    bottom: float = HEIGHT - _BOTTOM


def profiles(question: Mapping[str, Any], tolerance_mm: float) -> tuple[Profile, ...]:
    """A profile for every drawn element of a question as the records keep it; none for what was
    not drawn, or was marked by a release that did not keep the profile."""
    return tuple(
        _profile(e, e["profile_mm"], tolerance_mm)
        for e in question["elements"]
        if e["found"] and e.get("profile_mm")
    )


def _profile(
    element: Mapping[str, Any], runs: Sequence[Mapping[str, Any]], tolerance_mm: float
) -> Profile:
    spans = _placed(runs)
    way = spans[-1][-1][0] + 1.0
    largest = max(abs(off) for span in spans for _, off in span)
    reach = max(1.5 * tolerance_mm, 1.1 * largest)
    plot = _Plot(way, reach)
    marks = (0.0, tolerance_mm, -tolerance_mm)
    return Profile(
        str(element["element"]),
        _told(element, spans, tolerance_mm),
        tuple(plot.line(span) for span in spans if len(span) > 1),
        tuple(plot.line(part) for span in spans for part in _beyond(span, tolerance_mm)),
        (plot.y(tolerance_mm), plot.y(-tolerance_mm)),
        plot.y(0.0),
        tuple(Tick(plot.x(mm), f"{mm:g}") for mm in _ways(way)),
        tuple(Tick(plot.y(mm), f"{mm:+g}" if mm else "0") for mm in marks),
    )


Span = list[tuple[float, float]]
"""(way mm, off mm) where the pencil runs without a break."""


def _placed(runs: Sequence[Mapping[str, Any]]) -> list[Span]:
    """Unbroken spans of all runs, one run after the other along the way."""
    spans: list[Span] = []
    at = 0.0
    for run in runs:
        span: Span = []
        for k, off in enumerate(run["off"]):
            if off is None:
                spans, span = [*spans, span] if span else spans, []
            else:
                span.append((at + k + 0.5, float(off)))
        spans += [span] if span else []
        at += len(run["off"]) + _BETWEEN_MM
    return spans


def _beyond(span: Span, tolerance_mm: float) -> list[Span]:
    """The parts of a span that leave the band, each with a neighbour so that it can be drawn."""
    parts: list[Span] = []
    last = -2
    for k, (_, off) in enumerate(span):
        if abs(off) <= tolerance_mm:
            continue
        if k != last + 1:
            parts.append([span[max(k - 1, 0)]])
        parts[-1].append(span[k])
        last = k
    return [part for part in parts if len(part) > 1]


def _ways(way: float) -> list[int]:
    """Round numbers along the way, at most `_MOST_TICKS` of them."""
    step = next((s for s in _STEPS_MM if way / s < _MOST_TICKS), 200)
    return list(range(0, int(way) + 1, step))


def _told(element: Mapping[str, Any], spans: Sequence[Span], tolerance_mm: float) -> str:
    drawn = sum(len(span) for span in spans)
    out = sum(abs(off) > tolerance_mm for span in spans for _, off in span)
    worst = element.get("worst_mm")
    said = f"{element['element']}: {drawn} mm of pencil"
    said += f", at most {worst:.1f} mm off" if worst is not None else ""
    within = "all of it" if out == 0 else f"{drawn - out} mm of it"
    return f"{said}; {within} within the {tolerance_mm:g} mm allowed."


@dataclass(frozen=True)
class _Plot:
    """Way and deviation to the drawing's own units."""

    way: float
    reach: float

    def x(self, mm: float) -> float:
        return round(_LEFT + (WIDTH - _LEFT - _RIGHT) * mm / self.way, 2)

    def y(self, mm: float) -> float:
        middle = (_TOP + HEIGHT - _BOTTOM) / 2
        return round(middle - (HEIGHT - _TOP - _BOTTOM) / 2 * mm / self.reach, 2)

    def line(self, span: Span) -> str:
        return " ".join(f"{self.x(way)},{self.y(off)}" for way, off in span)
