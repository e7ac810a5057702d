"""The demonstration as one HTML file: plays, steps, obeys the keyboard, needs no network."""

from __future__ import annotations

import json
from html import escape
from typing import Any

from millimark.showing.captions import reason_for
from millimark.showing.picture import ON_SCREEN, background, ink_path, mark, shapes, tray
from millimark.showing.score import Score
from millimark.showing.script import script, style
from millimark.showing.stage import Stage
from millimark.showing.tools import LEAN, leg_length
from millimark.showing.woff import typeface_css

SPEEDS = (("0.5", "half"), ("1", "a hand's pace"), ("2", "twice"), ("4", "four times"))
KEYS = (
    "Space or K: play, pause. Right, left arrow: an act on, back. Home, End: beginning, end. "
    "Plus, minus: speed. F: large, on the whole screen."
)


def page(stage: Stage, score: Score, language: str = "en") -> str:
    """The whole HTML document, its typeface and script inside."""
    return f"""<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(stage.heading)}</title>
<style>{typeface_css()}
{style()}</style>
</head>
<body>
{inside(stage, score)}
<script>{script()}</script>
</body>
</html>
"""


def inside(stage: Stage, score: Score, besides: str = "") -> str:
    """What stands in the document's body, without the script; ``besides``: HTML that is set at
    the right of the heading."""
    return f"""<header>
<div class="question">
<h1>{escape(stage.heading)}</h1>
{"".join(f"<p>{escape(sentence)}</p>" for sentence in stage.asked)}
</div>
{besides}
</header>
<main>
<div class="desk">{_view(stage, score)}</div>
<div class="side">
<div class="now">
<p id="said" role="status" aria-live="polite">Press Play, or step through the acts.</p>
<div class="controls">
{_bar(score)}
</div>
</div>
<label class="why keys"><input id="keys" type="checkbox" checked> <span>{KEYS}</span></label>
<h2>What is done</h2>
<div id="acts">{_acts(stage, score)}</div>
</div>
</main>
<script type="application/json" id="score">{_data(stage, score)}</script>"""


def _view(stage: Stage, score: Score) -> str:
    """The finished drawing; the script winds it back to its beginning."""
    x0, y0, x1, y1 = stage.box
    inks = "".join(
        ink_path(ink, 1.0, ON_SCREEN, extra=f' id="ink-{i}"') for i, ink in enumerate(score.inks)
    )
    marks = "".join(mark(on, f' id="mark-{i}"') for i, on in enumerate(score.marks))
    tools = "".join(
        f'<g id="tool-{name}" opacity="0">{shape}</g>'
        for name, shape in shapes(stage).items()
        if name in score.tracks
    )
    shading = f'<g id="shading">{stage.shading}</g>' if score.shading else ""
    names = ", ".join(step.element for step in stage.working.steps)
    label = escape(f"Drawing with instruments: {names}. The acts are told in words below.")
    return (
        f'<svg id="view" role="img" aria-label="{label}" '
        f'viewBox="{x0:g} {y0:g} {x1 - x0:g} {y1 - y0:g}" '
        f'xmlns="http://www.w3.org/2000/svg">'
        f"{background(stage)}{shading}{stage.ground}{tray(stage)}{inks}{marks}{tools}</svg>"
    )


def _bar(score: Score) -> str:
    speeds = "".join(
        f'<option value="{value}"{" selected" if value == "1" else ""}>{name}</option>'
        for value, name in SPEEDS
    )
    return f"""<div class="bar" role="group" aria-label="Player">
<button id="play" type="button">Play</button>
<button id="back" type="button">Back</button>
<button id="next" type="button">Next</button>
<button id="first" type="button">Start over</button>
<button id="large" type="button" aria-pressed="false">Large</button>
</div>
<div class="scale">{_divisions(score)}
<input id="time" type="range" min="0" max="{score.length:.2f}" step="0.05" value="0"
 aria-label="Place in the demonstration"></div>
<div class="bar">
<label>Speed <select id="speed">{speeds}</select></label>
<label><input id="calm" type="checkbox"> Without movement</label>
</div>"""


def _divisions(score: Score) -> str:
    """The ruler under the slider: a long division where an element begins, else a short one."""
    marks = []
    chapter, free = "", 0.0
    for number, cue in enumerate(score.cues, 1):
        at = 100 * cue.start / score.length
        new = cue.chapter != chapter
        chapter = cue.chapter
        marks.append(
            f'<line x1="{at:.2f}%" x2="{at:.2f}%" y2="{60 if new else 32}%" '
            f'stroke-width="{2 if new else 1}"/>'
        )
        if (new or number % 5 == 0) and at >= free:
            free = at + 8
            marks.append(f'<text x="{at:.2f}%" dx="4" y="88%">{number}</text>')
    return f'<svg aria-hidden="true">{"".join(marks)}</svg>'


def _acts(stage: Stage, score: Score) -> str:
    """Each element as a heading with its reason and the numbered acts."""
    parts: list[str] = []
    chapter: str | None = None
    for number, cue in enumerate(score.cues, 1):
        if cue.chapter != chapter:
            if chapter is not None:
                parts.append("</ol>")
            chapter = cue.chapter
            parts.append(f"<h3>{escape(chapter[:1].upper() + chapter[1:])}</h3>")
            if why := reason_for(stage, chapter):
                parts.append(f'<p class="why">Why it works: {escape(why)}</p>')
            parts.append(f'<ol start="{number}">')
        parts.append(f'<li><button type="button">{escape(cue.text)}</button></li>')
    return "".join(parts) + ("</ol>" if parts else "")


def _data(stage: Stage, score: Score) -> str:
    data: dict[str, Any] = {
        "length": round(score.length, 3),
        "leg": leg_length(stage.instruments),
        "lean": LEAN,
        "shading": score.shading or [0, 0],
        "tracks": {
            name: [[_r(k.t), int(k.even), *(_r(v) for v in k.values)] for k in keys]
            for name, keys in score.tracks.items()
        },
        "inks": [{"start": _r(i.start), "end": _r(i.end)} for i in score.inks],
        "marks": [{"start": _r(m.start)} for m in score.marks],
        "cues": [{"text": c.text, "start": _r(c.start), "end": _r(c.end)} for c in score.cues],
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("</", "<\\/")


def _r(value: float) -> float:
    return round(value, 4)
