"""One moment of a demonstration as an SVG picture: for frames, step sheets and the first view."""

from __future__ import annotations

import re

from millimark.drawing.lettering import TYPEFACE, type_size
from millimark.drawing.look import ANSWER_PEN, LABEL, PAPER, PLUM, STEEL, STRAW, WORKING_PEN
from millimark.drawing.svg import path_data
from millimark.showing.score import InkOn, MarkOn, Score, done
from millimark.showing.stage import Stage
from millimark.showing.tools import (
    COMPASSES,
    compasses_parts,
    leg_length,
    pencil,
    protractor,
    ruler,
)

ON_SCREEN = 1.7
"""How much bolder ink is on a screen than on paper, to be seen from the back of a room."""
FAR = 500.0  # mm: past the edge of any page
NEW = 2.2
"""How much bolder new ink is than old, on step sheets: told by weight, not by colour alone."""


def frame(stage: Stage, score: Score, t: float) -> str:
    """The picture at ``t`` seconds, true to scale at its width and height in mm."""
    parts = [
        background(stage),
        f'<g opacity="{done(t, *score.shading):.3f}">{stage.shading}</g>' if score.shading else "",
        stage.ground,
        tray(stage),
        *(
            ink_path(ink, done(t, ink.start, ink.end), ON_SCREEN)
            for ink in score.inks
            if t > ink.start
        ),
        *(mark(m) for m in score.marks if t >= m.start),
        *instruments_at(stage, score, t),
    ]
    return picture(stage, "".join(parts))


def picture(stage: Stage, inside: str, whole: bool = True) -> str:
    """An SVG picture of the stage (``whole``), or of its answer frame alone."""
    x0, y0, x1, y1 = stage.box if whole else stage.crop
    if not whole:
        x0, y0, x1, y1 = x0 - 1, y0 - 1, x1 + 1, y1 + 1
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(x1 - x0)}mm" '
        f'height="{_n(y1 - y0)}mm" viewBox="{_n(x0)} {_n(y0)} {_n(x1 - x0)} {_n(y1 - y0)}">'
        f"{inside}</svg>"
    )


def background(stage: Stage) -> str:
    """The desk, and the paper round the answer frame."""
    x0, y0, x1, y1 = stage.box
    a, b, c, d = stage.frame
    return (
        f'<rect x="{_n(x0)}" y="{_n(y0)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}" '
        f'fill="{STRAW}"/><rect x="{_n(a - 3)}" y="{_n(b - 3)}" width="{_n(c - a + 6)}" '
        f'height="{_n(d - b + 6)}" fill="{PAPER}"/>'
    )


def tray(stage: Stage) -> str:
    """The desk below what is seen of the paper, over whatever is printed there."""
    x0, _, x1, y1 = stage.box
    top = stage.crop[3] + 3
    return (
        f'<rect x="{_n(x0 - FAR)}" y="{_n(top)}" width="{_n(x1 - x0 + 2 * FAR)}" '
        f'height="{_n(y1 - top + FAR)}" fill="{STRAW}"/>'
    )


def ink_path(ink: InkOn, share: float, bolder: float = 1.0, extra: str = "") -> str:
    """A curve as far as it is drawn. Whole, its ``pathLength`` is 1, so that a script can make
    dashes shares of it; in part, its true length, for renderers that know no ``pathLength``."""
    pen = ANSWER_PEN if ink.role == "answer" else WORKING_PEN
    whole, hide = "1", ""
    if share < 1:
        whole, left = _n(ink.curve.length), _n(ink.curve.length * (1 - share))
        hide = f' stroke-dasharray="{whole}" stroke-dashoffset="{left}"'
    return (
        f'<path{extra} d="{path_data([ink.curve])}" pathLength="{whole}" fill="none" '
        f'stroke="{pen.colour}" stroke-width="{_n(pen.width * bolder)}" '
        f'stroke-linecap="butt"{hide}/>'
    )


def mark(on: MarkOn, extra: str = "") -> str:
    """A letter by its mark, or a small ring round a crossing that is only used."""
    x, y = _n(on.at.x), _n(on.at.y)
    ring = f'<circle cx="{x}" cy="{y}" r="1" fill="none" stroke="{STEEL}" stroke-width="0.25"/>'
    if not on.letter or on.letter_at is None:
        return f"<g{extra}>{ring}</g>"
    return (
        f'<g{extra}>{ring}<text x="{_n(on.letter_at.x)}" y="{_n(on.letter_at.y)}" '
        f'font-family="{TYPEFACE}, sans-serif" font-size="{_n(type_size(LABEL))}" '
        f'fill="{PLUM}" text-anchor="middle">{on.letter}</text></g>'
    )


def instruments_at(stage: Stage, score: Score, t: float) -> list[str]:
    """The instruments that are seen at ``t``, from the bottom up."""
    out = []
    for name, shape in shapes(stage).items():
        state = score.state(name, t)  # type: ignore[arg-type]
        if state[-1] < 0.01:
            continue
        if name == "compasses":
            out.append(f'<g opacity="{state[-1]:.3f}">{standing(stage, state)}</g>')
        else:
            turn = f" rotate({_n(state[2] * 57.29577951308232)})" if len(state) == 4 else ""
            place = f"translate({_n(state[0])} {_n(state[1])}){turn}"
            out.append(f'<g opacity="{state[-1]:.3f}" transform="{place}">{shape}</g>')
    return out


def shapes(stage: Stage) -> dict[str, str]:
    """The static shape of each instrument by name, from the bottom up."""
    return {
        "protractor": protractor(),
        "ruler": ruler(stage.instruments),
        "pencil": pencil(stage.instruments.left_handed),
        "compasses": COMPASSES,
    }


def standing(stage: Stage, state: tuple[float, ...]) -> str:
    """The compasses' parts with their shapes filled in."""
    parts = compasses_parts(state, leg_length(stage.instruments))

    def fill(found: re.Match[str]) -> str:
        attributes = parts[found[1]]
        return "".join(f'{key}="{value}" ' for key, value in attributes.items())

    return re.sub(r'class="(\w+)" ', fill, COMPASSES)


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
