"""What is said: WebVTT captions and a transcript that can be printed."""

from __future__ import annotations

from millimark.showing.score import Score
from millimark.showing.stage import Stage


def webvtt(score: Score) -> str:
    """The cues as a WebVTT file (W3C, WebVTT: The Web Video Text Tracks Format)."""
    blocks = ["WEBVTT"]
    for number, cue in enumerate(score.cues, 1):
        text = cue.text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        blocks.append(f"{number}\n{_clock(cue.start)} --> {_clock(cue.end)}\n{text}")
    return "\n\n".join(blocks) + "\n"


def transcript(stage: Stage, score: Score) -> str:
    """Plain text: the question, then each element with its acts numbered."""
    lines = [stage.heading, "", *stage.asked]
    chapter = ""
    for number, cue in enumerate(score.cues, 1):
        if cue.chapter != chapter:
            chapter = cue.chapter
            lines += ["", chapter[:1].upper() + chapter[1:]]
            if reason := reason_for(stage, chapter):
                lines.append(reason)
        lines.append(f"{number:3d}. {cue.text}")
    return "\n".join(lines) + "\n"


def reason_for(stage: Stage, element: str) -> str:
    """Why the method of an element works; "" where nothing is said."""
    found = (s.reason for s in stage.working.steps if s.element == element)
    return next(found, "")


def _clock(t: float) -> str:
    ms = round(t * 1000)
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
