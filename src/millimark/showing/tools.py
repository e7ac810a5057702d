"""The instruments as SVG, true to scale, as seen from the pupil's seat.

Each static shape is drawn once about its own origin and set in place by a transform: the
ruler about its zero with its working edge along x and its body below, the protractor about its
centre with its base along x and its bow above, the pencil about its tip. The compasses stand
on needle and pencil with the hinge raised towards the top of the page.
"""

from __future__ import annotations

import math

from millimark.drawing.lettering import TYPEFACE
from millimark.drawing.look import INK, PAPER, PLUM, RULE, SLATE, STEEL, STRAW
from millimark.working.drawn import PROTRACTOR
from millimark.working.instruments import Instruments

RULER_WIDTH = 28.0  # mm
RULER_END = 6.0  # mm of a ruler before its zero and after its last mark
LEAN = 0.5
"""How much of the hinge's height over the paper is seen from the seat, looking down."""
GRIP = 13.0  # mm of grip seen above the hinge
LEG = 7.5
"""mm of leg for each centimetre of the widest opening."""


def ruler(instruments: Instruments) -> str:
    """A transparent ruler with millimetre marks; its length is the paper's ruler."""
    length = instruments.ruler_cm * 10
    marks = "".join(
        f"M{k} 0v{6.0 if k % 10 == 0 else 4.5 if k % 5 == 0 else 3.0}"
        for k in range(int(length) + 1)
    )
    numbers = "".join(
        _text(k * 10, 10.2, str(k), 3.4) for k in range(int(instruments.ruler_cm) + 1)
    )
    return (
        f'<rect x="{-RULER_END}" y="0" width="{_n(length + 2 * RULER_END)}" '
        f'height="{RULER_WIDTH}" rx="1.5" fill="{PAPER}" fill-opacity="0.72" '
        f'stroke="{SLATE}" stroke-width="0.3"/>'
        f'<path d="{marks}" stroke="{INK}" stroke-width="0.16" fill="none"/>{numbers}'
    )


def protractor() -> str:
    """A half circle with every degree, counted both ways; the base line passes the centre."""
    r = PROTRACTOR * 10
    marks, numbers = [], []
    for degree in range(181):
        u, v = math.cos(math.radians(degree)), -math.sin(math.radians(degree))
        inner = r - (6.0 if degree % 10 == 0 else 4.0 if degree % 5 == 0 else 2.4)
        marks.append(f"M{_n(r * u)} {_n(r * v)}L{_n(inner * u)} {_n(inner * v)}")
        if degree % 10 == 0:
            for shown, at, size in ((degree, r - 9.0, 2.5), (180 - degree, r - 13.5, 2.2)):
                turn = f' transform="rotate({90 - degree} {_n(at * u)} {_n(at * v)})"'
                numbers.append(_text(at * u, at * v + size / 2, str(shown), size, turn))
    return (
        f'<path d="M{-r} 0A{r} {r} 0 0 1 {r} 0L{r} 6H{-r}Z" fill="{PAPER}" '
        f'fill-opacity="0.62" stroke="{SLATE}" stroke-width="0.3"/>'
        f'<path d="M{-r} 0H{r}M0 3V-4{"".join(marks)}" stroke="{INK}" stroke-width="0.16" '
        f'fill="none"/>{"".join(numbers)}'
    )


def pencil(left_handed: bool) -> str:
    """A pencil held by the right hand (leaning right) or the left."""
    lean = 35 if not left_handed else -35
    return (
        f'<g transform="rotate({lean})">'
        f'<path d="M0 0L-3 -9V-78H3V-9Z" fill="{STEEL}" stroke="{INK}" stroke-width="0.3"/>'
        f'<path d="M0 0L-3 -9Q0 -11 3 -9Z" fill="{STRAW}" stroke="{INK}" stroke-width="0.3"/>'
        f'<path d="M0 0L-0.9 -2.7H0.9Z" fill="{INK}"/>'
        f'<path d="M-1 -11V-78M1 -11V-78" stroke="{PAPER}" stroke-opacity="0.35" '
        f'stroke-width="0.4"/></g>'
    )


COMPASSES = (
    f'<path class="legs" fill="none" stroke="{SLATE}" stroke-width="3.2" '
    f'stroke-linecap="round" stroke-linejoin="round"/>'
    f'<path class="points" fill="none" stroke="{INK}" stroke-width="0.9" stroke-linecap="round"/>'
    f'<path class="lead" fill="none" stroke="{STEEL}" stroke-width="4.4"/>'
    f'<circle class="hinge" r="4" fill="{RULE}" stroke="{INK}" stroke-width="0.4"/>'
    f'<path class="grip" stroke="{INK}" stroke-width="3" stroke-linecap="round"/>'
    f'<circle class="needle" r="0.8" fill="{PLUM}"/>'
)
"""The compasses' parts; their shapes depend on the opening (see ``compasses_parts``)."""


def leg_length(instruments: Instruments) -> float:
    """The length of a leg, mm."""
    return LEG * instruments.compasses_cm


def hinge_height(needle_y: float, pencil_y: float, opening: float, leg: float) -> float:
    """The page y (down, mm) of the top of the grip, with some air."""
    raised = math.sqrt(max(leg * leg - opening * opening / 4, 0.0)) * LEAN
    return (needle_y + pencil_y) / 2 - raised - GRIP - 4.0


def compasses_parts(place: tuple[float, ...], leg: float) -> dict[str, dict[str, str]]:
    """Attributes for each part of the compasses by class name. ``place``: needle x, y, opening
    in mm, angle to the pencil; legs ``leg`` mm long."""
    x, y, opening, angle = place[:4]
    px, py = x + opening * math.cos(angle), y + opening * math.sin(angle)
    height = math.sqrt(max(leg * leg - opening * opening / 4, 0.0)) * LEAN
    hx, hy = (x + px) / 2, (y + py) / 2 - height

    def part(from_x: float, from_y: float, share: float) -> tuple[float, float]:
        return from_x + (hx - from_x) * share, from_y + (hy - from_y) * share

    (ax, ay), (bx, by) = part(x, y, 0.16), part(px, py, 0.16)
    (cx, cy), (dx, dy) = part(px, py, 0.06), part(px, py, 0.42)
    return {
        "legs": {"d": f"M{_n(ax)} {_n(ay)}L{_n(hx)} {_n(hy)}L{_n(bx)} {_n(by)}"},
        "points": {"d": f"M{_n(x)} {_n(y)}L{_n(ax)} {_n(ay)}M{_n(px)} {_n(py)}L{_n(bx)} {_n(by)}"},
        "lead": {"d": f"M{_n(cx)} {_n(cy)}L{_n(dx)} {_n(dy)}"},
        "hinge": {"cx": _n(hx), "cy": _n(hy)},
        "grip": {"d": f"M{_n(hx)} {_n(hy - 4)}V{_n(hy - GRIP)}"},
        "needle": {"cx": _n(x), "cy": _n(y)},
    }


def _text(x: float, y: float, text: str, size: float, extra: str = "") -> str:
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-family="{TYPEFACE}, sans-serif" '
        f'font-size="{_n(size)}" fill="{INK}" text-anchor="middle"{extra}>{text}</text>'
    )


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
