"""Whole asks: what is to be drawn, shaded, marked or measured."""

from __future__ import annotations

from typing import Any

from millimark.errors import NoAnswerError
from millimark.loci.conditions import (
    AllOf,
    Ask,
    AtDistance,
    CircleOf,
    Condition,
    DiscOf,
    Distance,
    DrawLocus,
    Inside,
    Locus,
    MarkPoints,
    Not,
    PolygonOf,
    ShadeRegion,
    SidesOf,
)
from millimark.words.ask_loci import Predicate
from millimark.words.ask_measures import MeasureTree
from millimark.words.earley import Word


class AskTree(MeasureTree):
    """Every rule of asks.lark."""

    # --- whole asks
    def points(self, *_: None) -> tuple[Predicate, ...]:
        return ()

    def predicates(self, *predicates: Predicate) -> tuple[Predicate, ...]:
        return predicates

    def locus_noun(self, *parts: Any) -> Ask:
        return self._ask_of(_opened(parts))

    region_noun = locus_noun

    def both_loci(self, *asks: Ask) -> tuple[Ask, ...]:
        return asks

    def with_predicate(self, predicate: Predicate) -> Predicate:
        return predicate

    def moving_region(self, _label: Word) -> None:
        return None

    def region_of(self, shape: PolygonOf, *parts: Any) -> Ask:
        return self._ask_of((Inside(shape), *_opened(parts)))

    def drawn(self, *loci: Any) -> tuple[Ask, ...]:
        return tuple(DrawLocus(locus) for locus in _opened(loci) if isinstance(locus, Locus))

    def locus_phrase(self, *parts: Any) -> Ask:
        ask = self.locus_noun(*parts)
        if not isinstance(ask, DrawLocus):
            raise NoAnswerError("The locus is a region.", "Call it a region.")
        return ask

    def region_phrase(self, *parts: Any) -> Ask:
        ask = self.region_noun(*parts)
        if not isinstance(ask, ShadeRegion):
            raise NoAnswerError("The region is a curve.", "Call it a locus.")
        return ask

    def ask(self, *parts: Any) -> tuple[Ask, ...]:
        asks: list[Ask] = []
        for part in parts:
            if isinstance(part, Ask):
                asks.append(part)
            elif isinstance(part, tuple):
                asks.extend(part)
        return tuple(asks)

    def ask_where(self, condition: Condition, *parts: Any) -> tuple[Ask, ...]:
        asks = self.ask(*parts)
        return tuple(self._narrowed(condition, ask) for ask in asks)

    def _narrowed(self, condition: Condition, ask: Ask) -> Ask:
        if isinstance(ask, DrawLocus):
            known = () if ask.where is None else (ask.where,)
            return self._ask_of((condition, *known, ask.locus))
        if isinstance(ask, ShadeRegion):
            return self._ask_of((condition, ask.condition))
        raise NoAnswerError(
            "A condition stands before something that is neither a locus nor a region.",
            "Leave it out.",
        )

    # --- points whose motion a given describes
    def motion(self, *parts: Any) -> Ask:
        return self._ask_of(_opened(parts))

    def motion_locus(self, label: Word) -> Ask:
        free = [locus for p, locus in self.scene.free if p == str(label)]
        if free:
            return DrawLocus(free[0])
        found = [tree for p, tree in self.scene.motions if p == str(label)]
        if not found:
            raise NoAnswerError(
                f"No given says how {label} moves.",
                f"Say it first, as in 'The point {label} moves so that it is always 3 cm from A.'",
            )
        ask: Ask = self.read(found[-1])
        return ask

    def motion_its(self) -> Ask:
        if not self.scene.motions:
            raise NoAnswerError(
                "No given says how the point moves.",
                "Say it first, as in 'A point moves so that it is always 3 cm from A.'",
            )
        ask: Ask = self.read(self.scene.motions[-1][1])
        return ask

    def ask_nothing(self, *_: Any) -> tuple[Ask, ...]:
        return ()

    def instruction(self, *_: Any) -> None:
        return None

    def _ask_of(self, predicates: tuple[Predicate, ...]) -> Ask:
        loci = [p for p in predicates if isinstance(p, Locus)]
        conditions = tuple(p for p in predicates if isinstance(p, Condition))
        sided = {c.shape for c in conditions if isinstance(c, Inside)}
        if len(loci) > 1:
            return MarkPoints(tuple(loci), _joined(tuple(_inner(c, sided) for c in conditions)))
        if loci:
            locus, conditions = _with_sides(loci[0], conditions, sided)
            self._note_outside(locus, predicates)
            return DrawLocus(locus, _joined(tuple(_inner(c, sided) for c in conditions)))
        whole = _joined(tuple(_inner(c, sided) for c in conditions))
        if whole is None:
            raise NoAnswerError("The sentence names no condition.", "Say which points are meant.")
        return ShadeRegion(whole)

    def _note_outside(self, locus: Locus, predicates: tuple[Predicate, ...]) -> None:
        if not isinstance(locus, AtDistance) or not isinstance(locus.feature, PolygonOf):
            return
        name = "".join(locus.feature.labels)
        if len(predicates) == 1:
            self.note(
                f"'from {name}' was read as outside {name}; write 'from the sides of {name}' for "
                "both sides, or 'inside' for the inside."
            )


def _opened(parts: tuple[Any, ...]) -> tuple[Predicate, ...]:
    """The predicates of all parts in order; None (the name of the moving point) is none."""
    flat: list[Predicate] = []
    for part in parts:
        if isinstance(part, tuple):
            flat.extend(_opened(part))
        elif part is not None:
            flat.append(part)
    return tuple(flat)


def _with_sides(
    locus: Locus,
    conditions: tuple[Condition, ...],
    sided: set[PolygonOf | CircleOf | DiscOf],
) -> tuple[Locus, tuple[Condition, ...]]:
    """A distance from a polygon, inside it from its sides; outside it the condition is
    said already by the distance from the whole."""
    if not isinstance(locus, AtDistance):
        return locus, conditions
    if isinstance(locus.feature, PolygonOf) and locus.feature in sided:
        return AtDistance(SidesOf(locus.feature.labels), locus.length), conditions
    if isinstance(locus.feature, PolygonOf | SidesOf):
        whole = PolygonOf(locus.feature.labels)
        outside = Not(Inside(whole, strict=False))
        if outside in conditions:
            rest = tuple(c for c in conditions if c != outside)
            return AtDistance(whole, locus.length), rest
    return locus, conditions


def _inner(condition: Condition, sided: set[PolygonOf | CircleOf | DiscOf]) -> Condition:
    """Inside a polygon a distance from it is one from its sides."""
    if not isinstance(condition, Distance) or not isinstance(condition.feature, PolygonOf):
        return condition
    if condition.feature in sided:
        sides = SidesOf(condition.feature.labels)
        return Distance(sides, condition.relation, condition.length)
    return condition


def _joined(conditions: tuple[Condition, ...]) -> Condition | None:
    """One condition for all of them, nested conjunctions opened; None for none."""
    flat: list[Condition] = []
    for condition in conditions:
        flat.extend(condition.conditions if isinstance(condition, AllOf) else (condition,))
    if not flat:
        return None
    return flat[0] if len(flat) == 1 else AllOf(tuple(flat))
