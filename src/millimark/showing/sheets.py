"""Step sheets: a booklet with one act or a few to a picture, new ink bold, old ink dashed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from millimark.drawing.look import INK, PLUM, SLATE
from millimark.paper.typesetting import typeset
from millimark.showing.captions import reason_for
from millimark.showing.picture import NEW, ink_path, mark, picture
from millimark.showing.score import InkOn, MarkOn, Score
from millimark.showing.stage import Stage
from millimark.working.acts import Act, JoinMarks, RuleLine, StrikeArc

PICTURE = 85.0  # mm wide on the sheet
ROOM = "millimark.showing"


@dataclass(frozen=True)
class Picture:
    """One picture: the acts (by number) whose ink is new in it, and their words."""

    element: str
    acts: tuple[int, ...]
    words: tuple[str, ...]


def step_sheets(stage: Stage, score: Score, language: str = "en") -> bytes:
    """The booklet as a PDF."""
    pictures = list(pictured(stage))
    files = {f"step-{i}.svg": draw(stage, score, p) for i, p in enumerate(pictures)}
    chapters: list[dict[str, object]] = []
    first = 1
    for i, shown in enumerate(pictures):
        if not chapters or chapters[-1]["element"] != shown.element:
            title = shown.element[:1].upper() + shown.element[1:]
            why = reason_for(stage, shown.element)
            chapters.append({"element": shown.element, "title": title, "why": why, "steps": []})
        steps = chapters[-1]["steps"]
        if isinstance(steps, list):
            alt = "The drawing after: " + " ".join(shown.words)
            steps.append(
                {"file": f"step-{i}.svg", "acts": list(shown.words), "first": first, "alt": alt}
            )
        first += len(shown.words)
    data = {
        "title": f"{stage.heading}, step by step",
        "running": stage.title,
        "asked": list(stage.asked),
        "chapters": chapters,
        "width": PICTURE,
        "lang": language,
        "ink": INK,
        "slate": SLATE,
        "plum": PLUM,
    }
    return typeset("step-sheets", data, files, ROOM)


def pictured(stage: Stage) -> Iterator[Picture]:
    """The acts of each element, gathered until ink about another point is drawn."""
    number = 0
    for step in stage.working.steps:
        gathered: list[tuple[int, Act]] = []
        for act in step.acts:
            if _starts_anew(act, [a for _, a in gathered]):
                yield _picture(step.element, gathered)
                gathered = []
            gathered.append((number, act))
            number += 1
        if gathered:
            yield _picture(step.element, gathered)


def _starts_anew(act: Act, gathered: list[Act]) -> bool:
    inked = [a for a in gathered if isinstance(a, StrikeArc | RuleLine | JoinMarks)]
    if not inked:
        return False
    last = inked[-1]
    same = isinstance(act, StrikeArc) and isinstance(last, StrikeArc) and act.centre == last.centre
    return bool(act.caption) and not same


def _picture(element: str, gathered: list[tuple[int, Act]]) -> Picture:
    words = tuple(act.caption for _, act in gathered if act.caption)
    return Picture(element, tuple(number for number, _ in gathered), words)


def draw(stage: Stage, score: Score, shown: Picture) -> str:
    """The answer frame after a picture's acts: what is new bold, what was there dashed."""
    last = max(shown.acts)
    old = [i for i in score.inks if i.act < min(shown.acts)]
    new = [i for i in score.inks if i.act in shown.acts]
    marks = [m for m in score.marks if m.act <= last]
    return picture(
        stage,
        stage.ground
        + "".join(_old(ink) for ink in old)
        + "".join(ink_path(ink, 1.0, NEW) for ink in new)
        + "".join(_mark(m) for m in marks),
        whole=False,
    )


def _old(ink: InkOn) -> str:
    """Ink of earlier pictures; the answer stays whole, construction ink is dashed."""
    path = ink_path(ink, 1.0, 1.2)
    if ink.role == "answer":
        return path
    return path.replace(' pathLength="1"', ' stroke-dasharray="1.6 0.9"')


def _mark(on: MarkOn) -> str:
    return mark(on)
