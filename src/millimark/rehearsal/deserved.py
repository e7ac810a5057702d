"""What each criterion deserves, by the rules of the scheme, from the true facts.

A decision comes with how far its deciding values stand from their limits, so that tests
can leave the borderline out.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from millimark.paper.question import Criterion, Tolerance
from millimark.rehearsal.arc_facts import EvidenceFacts
from millimark.rehearsal.facts import ElementFacts, RegionFacts

CLEAR_MM, CLEAR_SHARE, CLEAR_DEG = 0.25, 0.05, 0.25
"""Beyond these a decision is not borderline."""


@dataclass(frozen=True)
class Deserved:
    """One mark as it should be. Margins are distances of the deciding values from their
    limits, None where no value of that unit decided."""

    code: str
    criterion: str
    decision: str
    margin_mm: float | None = None
    margin_share: float | None = None
    margin_deg: float | None = None
    clear: bool = True
    deciding: str = ""

    @property
    def awarded(self) -> bool:
        """Whether the mark is earned."""
        return self.decision == "awarded"


def decide(
    scheme: Sequence[Criterion],
    tolerance: Tolerance,
    elements: Mapping[str, ElementFacts],
    evidence: Mapping[str, EvidenceFacts],
    region: RegionFacts | None,
    rivals: Collection[str] = (),
    points: Mapping[str, Sequence[float]] | None = None,
    written: bool = False,
) -> tuple[Deserved, ...]:
    """Decide every criterion of a scheme, in order.

    ``points``: how far off the nearest mark to each point is, by what the points are called.
    ``written``: something is on the sheet, so that readings are for the teacher.
    ``rivals`` names elements that were answered twice with neither answer crossed out: a
    marker cannot choose between them, the decision is ``teacher``.
    """
    done: list[Deserved] = []
    for criterion in scheme:
        if criterion.kind == "line" and criterion.subject in rivals:
            mark = Deserved(criterion.code, criterion.text, "teacher", deciding="two answers")
        elif criterion.kind == "line":
            mark = _line(criterion, tolerance, elements.get(criterion.subject))
        elif criterion.kind == "reading":
            deciding = "handwriting is not read" if written else "nothing drawn"
            decision = "teacher" if written else "withheld"
            mark = Deserved(criterion.code, criterion.text, decision, deciding=deciding)
        elif criterion.kind == "points":
            mark = _points(criterion, tolerance, (points or {}).get(criterion.subject, ()))
        elif criterion.kind == "evidence":
            mark = _evidence(criterion, evidence.get(criterion.subject))
        else:
            mark = _region(criterion, region)
        done.append(_dependent(mark, criterion, done))
    return tuple(done)


def _line(c: Criterion, tolerance: Tolerance, facts: ElementFacts | None) -> Deserved:
    if facts is None or not facts.found:
        return Deserved(c.code, c.text, "withheld", deciding="nothing drawn")
    limit = tolerance.length_mm
    mm: list[float] = []
    share: float | None = None
    good = True
    if c.least_share is not None:
        covered = facts.coverage(limit, c.part)
        share = covered - c.least_share
        mm.append(limit - _quantile(facts, c.part, c.least_share))
        good = share >= 0
    if c.least_mm is not None:
        length = facts.covered_mm(limit) - c.least_mm
        out = limit - (facts.worst_mm if facts.worst_mm is not None else math.inf)
        mm += [length / 4, out]  # a length is read to millimetres, a deviation to tenths
        good = good and length >= 0 and out >= 0
    turn: float | None = None
    if c.angle and facts.angle_deg is not None:
        turn = tolerance.angle_deg - facts.angle_deg
        good = good and turn >= 0
    return _mark(c, good, mm, share, turn)


def _quantile(facts: ElementFacts, part: str, least: float) -> float:
    """The tolerance (mm) at which the coverage would just reach ``least``; inf if none does."""
    import numpy as np

    gaps = np.sort(facts.needed[part])
    return float(gaps[max(0, math.ceil(least * len(gaps)) - 1)]) if len(gaps) else math.inf


def _mark(
    c: Criterion, good: bool, mm: list[float], share: float | None, turn: float | None
) -> Deserved:
    """Awarded: the tightest margin counts. Withheld: every failed limit must be clear."""
    closest = _closest(mm, good)
    clear = True
    if closest is not None and share is not None:
        clear = abs(closest) > CLEAR_MM and abs(share) > CLEAR_SHARE
    elif closest is not None:
        clear = abs(closest) > CLEAR_MM
    if turn is not None:
        failed_elsewhere = not good and closest is not None and closest < -CLEAR_MM
        clear = failed_elsewhere or (
            abs(turn) > CLEAR_DEG and (clear or (not good and turn < -CLEAR_DEG))
        )
    return Deserved(
        c.code,
        c.text,
        "awarded" if good else "withheld",
        abs(closest) if closest is not None and math.isfinite(closest) else None,
        abs(share) if share is not None else None,
        abs(turn) if turn is not None else None,
        clear,
    )


def _closest(values: list[float], good: bool) -> float | None:
    """The margin that decides: the least in hand if good, else the worst failure."""
    if not values:
        return None
    return min(values) if good else min(values, key=lambda v: (v >= 0, v))


def _evidence(c: Criterion, facts: EvidenceFacts | None) -> Deserved:
    if facts is None or facts.slack_mm is None:
        return Deserved(c.code, c.text, "withheld", deciding="no such arcs")
    decision = "awarded" if facts.found else "withheld"
    slack = abs(facts.slack_mm)
    return Deserved(c.code, c.text, decision, margin_mm=slack, clear=slack > CLEAR_MM)


def _points(c: Criterion, tolerance: Tolerance, off: Sequence[float]) -> Deserved:
    """Enough points within tolerance; the one that decides is the last that is needed."""
    near = sorted(off)
    if len(near) < c.least_points or not math.isfinite(near[c.least_points - 1]):
        return Deserved(c.code, c.text, "withheld", deciding="not marked")
    margin = tolerance.length_mm - near[c.least_points - 1]
    decision = "awarded" if margin >= 0 else "withheld"
    return Deserved(c.code, c.text, decision, abs(margin), clear=abs(margin) > CLEAR_MM)


def _region(c: Criterion, facts: RegionFacts | None) -> Deserved:
    if facts is None or not facts.shaded:
        return Deserved(c.code, c.text, "withheld", deciding="nothing shaded")
    share = min(facts.filled, facts.inside) - 0.5
    decision = "awarded" if facts.right_side else "withheld"
    return Deserved(
        c.code, c.text, decision, margin_share=abs(share), clear=abs(share) > CLEAR_SHARE
    )


def _dependent(mark: Deserved, c: Criterion, done: Sequence[Deserved]) -> Deserved:
    """Withhold a mark whose needs are not met: all of them, or for a region, one."""
    if not c.needs or not mark.awarded:
        return mark
    needs = [done[i] for i in c.needs]
    met = any(n.awarded for n in needs) if c.kind == "region" else all(n.awarded for n in needs)
    if not met and any(n.decision == "teacher" for n in needs):
        return _with(mark, "teacher", False, "needs a mark that the teacher decides")
    sure = _needs_clear(needs, c.kind == "region", met)
    if met:
        return _with(mark, "awarded", mark.clear and sure, mark.deciding)
    return _with(mark, "withheld", sure, "needs an earlier mark")


def _needs_clear(needs: Sequence[Deserved], one_suffices: bool, met: bool) -> bool:
    """Whether the state of the needs is itself beyond doubt."""
    if one_suffices == met:
        return any(n.clear and n.awarded == met for n in needs)
    return all(n.clear for n in needs)


def _with(mark: Deserved, decision: str, clear: bool, deciding: str) -> Deserved:
    from dataclasses import replace

    return replace(mark, decision=decision, clear=clear, deciding=deciding)
