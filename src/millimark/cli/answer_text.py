"""An answer in lines of text: elements, curves, region. Figure centimetres, y up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from millimark.plane.curves import Arc, Curve, Line, Ray, Segment

if TYPE_CHECKING:
    from millimark.loci.answer import Answer, Measured, RegionAnswer, Special
    from millimark.plane.point import Point

SPECIAL: dict[Special, str] = {
    "empty": "No point satisfies this.",
    "point": "A single point satisfies this.",
    "points": "Only separate points satisfy this.",
    "curve": "Only the points of a curve satisfy this; it has no area.",
    "everything": "Every point of the plane satisfies this.",
}


def number(value: float, places: int = 4) -> str:
    """A number for reading: at most ``places`` decimals, no trailing zeros, no minus zero."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def point_text(p: Point) -> str:
    """ "(x, y)" in cm."""
    return f"({number(p.x)}, {number(p.y)})"


def direction_text(d: Point) -> str:
    """Direction of a line or ray in degrees anticlockwise from the x axis."""
    return f"{number(math.degrees(d.angle()) % 360, 3)}°"


def curve_text(curve: Curve) -> str:
    """One curve in words."""
    match curve:
        case Segment():
            length = number(curve.length)
            return f"segment from {point_text(curve.a)} to {point_text(curve.b)}, {length} cm"
        case Ray():
            direction = direction_text(curve.direction)
            return f"ray from {point_text(curve.anchor)} in direction {direction}"
        case Line():
            direction = direction_text(curve.direction)
            return f"line through {point_text(curve.anchor)} in direction {direction}"
        case Arc():
            circle = f"centre {point_text(curve.centre)}, radius {number(curve.radius)} cm"
            if curve.is_whole:
                return f"circle, {circle}"
            turn = sorted((curve.from_, curve.from_ + curve.sweep))
            start = math.degrees(turn[0]) % 360
            end = start + math.degrees(turn[1] - turn[0])
            if end > 360:  # across the x axis: -41° to 41° reads better than 319° to 401°
                start, end = start - 360, end - 360
            return f"arc, {circle}, from {number(start, 3)}° to {number(end, 3)}°"
    if curve.bounded:
        ends = f"from {point_text(curve.start)} to {point_text(curve.end)}"
        return f"arc of a {curve.kind} {ends}, {number(curve.length)} cm"
    return f"{curve.kind}, unbounded"


def region_text(region: RegionAnswer) -> str:
    """Area, perimeter and shape of a region in one line."""
    if region.empty:
        return "Region: empty."
    parts = "one part" if region.parts == 1 else f"{region.parts} parts"
    if not region.bounded:
        return f"Region: unbounded, {parts}."
    area, around = number(region.area), number(region.perimeter)
    return f"Region: area {area} cm², perimeter {around} cm, {parts}."


def special_text(special: Special) -> str:
    """What an answer collapses to, in a sentence."""
    return SPECIAL[special]


def measured_text(measured: Measured, scale: float | None = None) -> str:
    """A measured value; under a scale (real cm for a cm of paper) the real one beside it."""
    if not math.isfinite(measured.value):
        return "Measured: it has no end."
    if measured.unit == "deg":
        return f"Measured: {number(measured.value)}°"
    power = 2 if measured.unit == "cm2" else 1
    paper = f"{number(measured.value)} cm{'²' if power == 2 else ''}"
    if scale is None:
        return f"Measured: {paper}"
    return f"Measured: {paper} on paper, {_real(measured.value * scale**power, power)} in reality"


def _real(value: float, power: int) -> str:
    """A real length or area in the unit, from cm to km, that keeps it readable."""
    for unit, size in (("km", 1e5), ("m", 1e2)):
        if value >= size**power:
            return f"{number(value / size**power)} {unit}{'²' if power == 2 else ''}"
    return f"{number(value)} cm{'²' if power == 2 else ''}"


def answer_lines(answer: Answer, scale: float | None = None) -> Iterator[str]:
    """Elements to draw, what is special, points, curves, region, measure, in this order."""
    for element in answer.elements:
        yield f"{element.name}"
    if answer.special is not None:
        yield special_text(answer.special)
    if answer.special_points:
        yield f"Points: {', '.join(point_text(p) for p in answer.special_points)}"
    if answer.curves:
        yield "Boundary:" if answer.region else "Curves:"
        for curve in answer.curves:
            yield f"  {curve_text(curve)}"
    if answer.region is not None:
        yield region_text(answer.region)
    if answer.measured is not None:
        yield measured_text(answer.measured, scale)
