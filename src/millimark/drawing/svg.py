"""The canvas that writes SVG at exact millimetres: for the typesetter and for screens."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape

from millimark.drawing.canvas import Lettering, Paint, Pen
from millimark.drawing.lettering import TYPEFACE, type_size
from millimark.plane.curves import Arc, Curve
from millimark.plane.point import Point

_SAGITTA = 0.002  # mm: how far a polyline may stray from a curve SVG has no word for


class SvgCanvas:
    """A canvas over the box (x0, y0, x1, y1) of a page; ``svg()`` gives the picture.

    One user unit is one millimetre and the viewBox keeps page coordinates, so numbers in
    the file can be read against the sheet map.
    """

    def __init__(self, box: tuple[float, float, float, float], background: str = "") -> None:
        self.box = box
        self._patterns: dict[str, str] = {}
        self._parts: list[str] = []
        if background:
            x0, y0, x1, y1 = box
            self._parts.append(
                f'<rect x="{_n(x0)}" y="{_n(y0)}" width="{_n(x1 - x0)}" '
                f'height="{_n(y1 - y0)}" fill="{background}"/>'
            )

    def stroke(self, curves: Sequence[Curve], pen: Pen) -> None:
        """Draw curves with one pen; curves that meet end to end are joined in one path."""
        if not curves:
            return
        dash = f' stroke-dasharray="{" ".join(_n(d) for d in pen.dash)}"' if pen.dash else ""
        fade = f' stroke-opacity="{_n(pen.opacity)}"' if pen.opacity < 1 else ""
        ends = "round" if pen.round_ends else "butt"
        self._parts.append(
            f'<path d="{path_data(curves)}" fill="none" stroke="{pen.colour}" '
            f'stroke-width="{_n(pen.width)}" stroke-linecap="{ends}" '
            f'stroke-linejoin="round"{dash}{fade}/>'
        )

    def fill(self, loops: Sequence[Sequence[Curve]], paint: Paint) -> None:
        """Fill the area inside closed loops (even-odd), flat or hatched."""
        if not loops:
            return
        colour = self._hatching(paint) if paint.hatch_mm else paint.colour
        fade = f' fill-opacity="{_n(paint.opacity)}"' if paint.opacity < 1 else ""
        data = "".join(path_data(loop) + "Z" for loop in loops)
        self._parts.append(f'<path d="{data}" fill-rule="evenodd" fill="{colour}"{fade}/>')

    def fill_boxes(self, boxes: Sequence[tuple[float, float, float, float]], colour: str) -> None:
        """Fill upright boxes (x0, y0, x1, y1) that do not overlap: the modules of a code."""
        data = "".join(
            f"M{_n(x0)} {_n(y0)}H{_n(x1)}V{_n(y1)}H{_n(x0)}Z" for x0, y0, x1, y1 in boxes
        )
        self._parts.append(f'<path d="{data}" fill="{colour}"/>')

    def write(self, text: str, at: Point, lettering: Lettering) -> None:
        """Write one line of text, its baseline at ``at``."""
        style = ' font-style="italic"' if lettering.italic else ""
        weight = ' font-weight="700"' if lettering.bold else ""
        self._parts.append(
            f'<text x="{_n(at.x)}" y="{_n(at.y)}" font-family="{TYPEFACE}" '
            f'font-size="{_n(type_size(lettering.height))}" fill="{lettering.colour}" '
            f'text-anchor="{lettering.anchor}"{style}{weight}>{escape(text)}</text>'
        )

    def svg(self) -> str:
        """The picture; its width and height in mm are those of the box."""
        x0, y0, x1, y1 = self.box
        width, height = x1 - x0, y1 - y0
        defs = f"<defs>{''.join(self._patterns.values())}</defs>" if self._patterns else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" '
            f'height="{_n(height)}mm" viewBox="{_n(x0)} {_n(y0)} {_n(width)} {_n(height)}">'
            f"{defs}{''.join(self._parts)}</svg>"
        )

    def _hatching(self, paint: Paint) -> str:
        """A fill reference to a pattern of thin lines, defined on first use."""
        name = f"h{len(self._patterns)}"
        key = f"{paint.colour}/{paint.hatch_mm}/{paint.hatch_deg}"
        if key in self._patterns:
            name = f"h{list(self._patterns).index(key)}"
        else:
            s = paint.hatch_mm
            self._patterns[key] = (
                f'<pattern id="{name}" width="{_n(s)}" height="{_n(s)}" '
                f'patternUnits="userSpaceOnUse" patternTransform="rotate({_n(-paint.hatch_deg)})">'
                f'<path d="M0 {_n(s / 2)}H{_n(s)}" stroke="{paint.colour}" '
                f'stroke-width="{_n(s / 10)}"/></pattern>'
            )
        return f"url(#{name})"


def path_data(curves: Sequence[Curve]) -> str:
    """SVG path data of bounded curves; ValueError for a curve without ends."""
    parts: list[str] = []
    at: Point | None = None
    for curve in curves:
        if not curve.bounded:
            raise ValueError(f"a {curve.kind} has no end: clip it before drawing")
        if at is None or at.distance(curve.start) > 1e-6:
            parts.append(f"M{_xy(curve.start)}")
        parts.append(_piece(curve))
        at = curve.end
    return "".join(parts)


def _piece(curve: Curve) -> str:
    if isinstance(curve, Arc):
        return _arc(curve)
    if curve.kind == "segment":
        return f"L{_xy(curve.end)}"
    return "".join(f"L{_n(x)} {_n(y)}" for x, y in curve.sampled(_SAGITTA)[1:])


def _arc(arc: Arc) -> str:
    """Up to three SVG arcs, each well under half a turn, where the format is ill defined."""
    n = max(1, math.ceil(abs(arc.sweep) / 2.5))
    flag = 1 if arc.sweep > 0 else 0
    ends = (arc.point_at(arc.t1 * (k + 1) / n) for k in range(n))
    return "".join(f"A{_n(arc.radius)} {_n(arc.radius)} 0 0 {flag} {_xy(p)}" for p in ends)


def _xy(p: Point) -> str:
    return f"{_n(p.x)} {_n(p.y)}"


def _n(value: float) -> str:
    """A number to a tenth of a micrometre, without trailing zeros or a negative zero."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
