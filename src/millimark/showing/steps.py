"""A working as a figure that can be wound back: each curve says at which act it is drawn.

The figure alone is the whole drawing; a script or a style sheet that hides what comes after
an act makes a step of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from millimark.showing.captions import reason_for
from millimark.showing.picture import ink_path, mark
from millimark.showing.score import Score
from millimark.showing.stage import Stage

BOLDER = 1.5
"""How much bolder ink is here than on paper: the figure is seen reduced."""


@dataclass(frozen=True)
class ActTold:
    """One act: its number from 1, its sentence, and at the first of an element ``chapter`` and
    why its method works ("" at the others)."""

    number: int
    text: str
    chapter: str = ""
    reason: str = ""


def acts_told(stage: Stage, score: Score) -> tuple[ActTold, ...]:
    """Every act that is told, in order; empty where there is nothing to draw."""
    told: list[ActTold] = []
    chapter = ""
    for number, cue in enumerate(score.cues, 1):
        if cue.chapter == chapter:
            told.append(ActTold(number, cue.text))
        else:
            chapter = cue.chapter
            named = chapter[:1].upper() + chapter[1:]
            told.append(ActTold(number, cue.text, named, reason_for(stage, chapter)))
    return tuple(told)


def stepped_figure(stage: Stage, score: Score) -> str:
    """The drawing as SVG in page millimetres; ``data-act`` on ink, marks and shading is the
    number of the act that makes them, from 1."""
    x0, y0, x1, y1 = stage.crop
    label = escape(", ".join(step.element for step in stage.working.steps))
    inks = "".join(
        ink_path(ink, 1.0, BOLDER, extra=f' data-act="{score.cue_at(ink.end) + 1}"')
        for ink in score.inks
    )
    marks = "".join(mark(m, f' data-act="{score.cue_at(m.start + 1e-3) + 1}"') for m in score.marks)
    shading = (
        f'<g data-act="{len(score.cues)}">{stage.shading}</g>' if score.shading is not None else ""
    )
    return (
        f'<svg role="img" aria-label="Working: {label}. The acts are told in words beside it." '
        f'viewBox="{x0 - 1:.3f} {y0 - 1:.3f} {x1 - x0 + 2:.3f} {y1 - y0 + 2:.3f}" '
        f'xmlns="http://www.w3.org/2000/svg">{shading}{stage.ground}{inks}{marks}</svg>'
    )
