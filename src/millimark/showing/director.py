"""The director: from the acts of a working to the score, at the pace of a hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from millimark.paper.labels import place_labels
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point, midpoint
from millimark.showing.score import Cue, InkOn, Instrument, Key, MarkOn, Score, nearest_turn
from millimark.showing.stage import Stage
from millimark.working.acts import (
    Act,
    AlignProtractor,
    JoinMarks,
    MarkPoint,
    RuleLine,
    SetCompasses,
    Step,
    StrikeArc,
)

# Seconds: the pace of an unhurried hand; common practice, no source.
REACH = 0.9  # to bring an instrument
SET = 1.4  # to open the compasses on the ruler
LOOK = 0.5  # to see a crossing
SETTLE = 0.35  # between acts
SWING = 1.6  # for a whole turn of the compasses, and
RULE_SPEED = 55.0  # mm a second along the ruler
SHADE = 1.6  # to shade a region
FADE = 0.3  # to lay an instrument away


def direct(stage: Stage) -> Score:
    """The score of a stage's working: every act has one cue, in order."""
    director = _Director(stage)
    number = 0
    for step in stage.working.steps:
        for act in step.acts:
            director.do(number, act, step.element)
            number += 1
    director.close()
    return director.score


class _Director:
    def __init__(self, stage: Stage) -> None:
        self.stage, self.score, self.t = stage, Score(), 0.4
        self.places = dict(stage.points)
        self.opening = 20.0

    # --- moving ---------------------------------------------------------------------------
    def _last(self, instrument: Instrument) -> tuple[float, ...] | None:
        keys = self.score.tracks.get(instrument)
        return keys[-1].values if keys else None

    def _key(self, instrument: Instrument, t: float, *values: float, even: bool = False) -> None:
        self.score.tracks.setdefault(instrument, []).append(Key(t, values, even))

    def _bring(self, instrument: Instrument, time: float, *place: float) -> None:
        """Move an instrument to a place by now + ``time``; it fades in where it is needed."""
        last = self._last(instrument)
        if last is None or last[-1] < 0.5:
            self._key(instrument, self.t, *place, 0.0)
        else:
            self._key(instrument, self.t, *last)
        self._key(instrument, self.t + time, *place, 1.0)

    def _away(self, *instruments: Instrument) -> None:
        for instrument in instruments:
            last = self._last(instrument)
            if last is not None and last[-1] > 0.5:
                self._key(instrument, self.t, *last)
                self._key(instrument, self.t + FADE, *last[:-1], 0.0)

    def _page(self, curve: Curve) -> Curve:
        return curve.transformed(self.stage.to_page)

    # --- acts -------------------------------------------------------------------------------
    def do(self, number: int, act: Act, element: str) -> None:
        """One act: its movements, its ink, its cue."""
        start = self.t
        if isinstance(act, SetCompasses):
            self._set(act)
        elif isinstance(act, StrikeArc):
            self._strike(number, act)
        elif isinstance(act, RuleLine):
            self._rule(number, act)
        elif isinstance(act, AlignProtractor):
            self._protract(number, act)
        elif isinstance(act, JoinMarks):
            self._join(number, act)
        else:
            self._mark(number, act)
        self.t += SETTLE
        if act.caption:
            self.score.cues.append(Cue(act.caption, start, self.t, element))

    def _set(self, act: SetCompasses) -> None:
        self._away("pencil", "protractor")
        opening = act.radius * self.stage.to_page.scale
        if act.between is None:
            zero = self.stage.tray
            self._bring("ruler", REACH, zero.x, zero.y, 0.0)
            self._bring("compasses", REACH, zero.x, zero.y, self.opening, 0.0)
        else:
            self._away("ruler")
            a, b = (self.places[name] for name in act.between)
            self._bring("compasses", REACH, a.x, a.y, self.opening, self._turn_to((b - a).angle()))
        self.t += REACH
        needle = self._last("compasses") or (0.0,) * 5
        self._key("compasses", self.t + SET, needle[0], needle[1], opening, needle[3], 1.0)
        self.t += SET
        self.opening = opening
        self._away("ruler")

    def _turn_to(self, angle: float) -> float:
        last = self._last("compasses")
        return nearest_turn(angle, last[3]) if last else angle

    def _strike(self, number: int, act: StrikeArc) -> None:
        self._away("ruler", "pencil", "protractor")
        arc = self._page(act.arc)
        if not isinstance(arc, Arc):
            raise TypeError("an arc stays an arc on the page")
        self.opening = arc.radius
        c, start = arc.centre, self._turn_to(arc.from_)
        self._bring("compasses", REACH, c.x, c.y, arc.radius, start)
        self.t += REACH
        time = 0.5 + SWING * abs(arc.sweep) / math.pi
        self._key(
            "compasses", self.t + time, c.x, c.y, arc.radius, start + arc.sweep, 1.0, even=True
        )
        self.score.inks.append(InkOn(arc, act.role, self.t, self.t + time, number))
        self.t += time

    def _rule(self, number: int, act: RuleLine) -> None:
        self._away("compasses", "protractor")
        line = self._page(act.segment)
        if not isinstance(line, Segment):
            raise TypeError("a segment stays a segment on the page")
        self._lay_ruler(line)
        self._bring("pencil", REACH, line.a.x, line.a.y)
        self.t += REACH
        time = 0.4 + line.length / RULE_SPEED
        self._key("pencil", self.t + time, line.b.x, line.b.y, 1.0, even=True)
        self.score.inks.append(InkOn(line, act.role, self.t, self.t + time, number))
        self.t += time

    def _lay_ruler(self, line: Segment) -> None:
        """The ruler's edge along a line, its middle by the line's middle, its body below the
        line so that the drawing hand is free."""
        way = line.direction if line.direction.x >= -1e-9 else -line.direction
        middle = midpoint(line.a, line.b)
        zero = middle - way * (self.stage.instruments.ruler_cm * 10 / 2)
        last, angle = self._last("ruler"), way.angle()
        turned = nearest_turn(angle, last[2]) if last else angle
        self._bring("ruler", REACH, zero.x, zero.y, turned)

    def _protract(self, number: int, act: AlignProtractor) -> None:
        self._away("compasses", "ruler")
        vertex, arm = self.places[act.vertex], self.places[act.arm]
        base = (arm - vertex).angle() + (0.0 if act.turn > 0 else math.pi)
        self._bring("protractor", REACH, vertex.x, vertex.y, base)
        self.t += REACH
        at = self.stage.to_page(act.at)
        self._bring("pencil", REACH, at.x, at.y)
        self.t += REACH
        self._point(number, act.name, at, "")
        self.t += LOOK

    def _join(self, number: int, act: JoinMarks) -> None:
        self._away("compasses", "ruler", "protractor")
        curve = self._page(act.curve)
        xy = curve.sampled(0.3)
        self._bring("pencil", REACH, float(xy[0][0]), float(xy[0][1]))
        self.t += REACH
        time = 0.4 + curve.length / RULE_SPEED
        gone, whole = 0.0, curve.length
        for (x0, y0), (x1, y1) in pairwise(xy):
            gone += math.hypot(x1 - x0, y1 - y0)
            t = self.t + time * min(gone / whole, 1.0)
            self._key("pencil", t, float(x1), float(y1), 1.0, even=True)
        self.score.inks.append(InkOn(curve, act.role, self.t, self.t + time, number))
        self.t += time

    def _mark(self, number: int, act: MarkPoint) -> None:
        at = self.stage.to_page(act.at)
        if isinstance(act.how, Step):
            self._away("compasses", "protractor")
            start, towards = self.places[act.how.start], self.places[act.how.towards]
            way = (towards - start).unit()
            last = self._last("ruler")
            turned = nearest_turn(way.angle(), last[2]) if last else way.angle()
            self._bring("ruler", REACH, start.x, start.y, turned)
            self._bring("pencil", REACH, at.x, at.y)
            self.t += REACH
        self._point(number, act.name, at, act.name if act.shown else "")
        self.t += LOOK if act.shown else 0.2

    def _point(self, number: int, name: str, at: Point, letter: str) -> None:
        self.places[name] = at
        self.score.marks.append(MarkOn(at, letter, self.t, number))

    def _letter(self) -> None:
        """Set the letters of marks where no line of the whole drawing runs through them."""
        marks = self.score.marks
        named = [(m.letter, m.at) for m in marks if m.letter]
        curves = [*self.stage.given, *(ink.curve for ink in self.score.inks)]
        labels = place_labels([*self.stage.points, *named], curves, self.stage.crop)
        places = iter(label.at for label in labels[len(self.stage.points) :])
        self.score.marks = [replace(m, letter_at=next(places)) if m.letter else m for m in marks]

    def close(self) -> None:
        """Lay everything away, shade what is asked for, end."""
        self._away("compasses", "ruler", "protractor", "pencil")
        self.t += FADE
        if self.stage.shading:
            self.score.shading = (self.t, self.t + SHADE)
            self.score.cues.append(
                Cue("Shade the region that is asked for.", self.t, self.t + SHADE, "region")
            )
            self.t += SHADE
        self._letter()
        self.score.length = self.t + 0.6
