"""What varies in a question from sheet to sheet: values, turn, mirror; all variants by seed."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from millimark.paper.choices import Combination, combinations_of, unused
from millimark.paper.fields import Field
from millimark.paper.question import Tolerance
from millimark.paper.turning import PLEASANT_TURNS, may_turn
from millimark.paper.units import angle_deg, length_mm, turn_deg

TURN, MIRROR = "turn", "mirror"  # names under which a sheet's choices keep the placing


@dataclass(frozen=True)
class Variation:
    """``combinations`` of named values; ``turns`` in degrees that the file lets the figure
    take, none where it says nothing and the words leave it free; ``mirrors`` "true", "false"."""

    number: str
    combinations: tuple[Combination, ...]
    turns: tuple[float, ...]
    mirrors: tuple[str, ...]

    @property
    def varies(self) -> bool:
        """Whether sheets may differ in this question."""
        return len(self.combinations) > 1 or len(self.turns) > 1 or len(self.mirrors) > 1

    def all_values(self, seed: int) -> Iterator[dict[str, str]]:
        """Every variant of this question in an order that the paper's seed fixes."""
        order = list(self.combinations)
        draw = random.Random(f"{seed}/{self.number}")
        draw.shuffle(order)
        turns, mirrors = list(self.turns), list(self.mirrors)
        if len(turns) > 1:
            draw.shuffle(turns)
        rounds = max(len(turns), 1) * max(len(mirrors), 1)
        for k in range(rounds):
            for i, values in enumerate(order):
                yield {
                    **dict(values),
                    **({TURN: f"{turns[(i + k) % len(turns)]:g} deg"} if len(turns) > 1 else {}),
                    **({MIRROR: mirrors[(i + k) % len(mirrors)]} if len(mirrors) > 1 else {}),
                }


def read_variation(
    number: str, fields: Mapping[str, Field], sentences: Sequence[Field], tolerance: Tolerance
) -> Variation:
    """The variation of a question's fields; ``sentences`` are its givens and asks."""
    found = Variation(
        number,
        combinations_of(fields.get("choose")),
        _turns(number, fields.get("turn"), [f.text() for f in sentences]),
        _mirrors(fields.get("mirror")),
    )
    if "choose" in fields:
        texts = [f.text() for f in sentences]
        if "story" in fields:
            texts.append(fields["story"].text())
        _check_names(found, fields["choose"], texts)
        _check_steps(found, fields["choose"], tolerance)
    return found


def _turns(number: str, field: Field | None, sentences: Sequence[str]) -> tuple[float, ...]:
    directed = not may_turn(sentences)
    if field is None:
        return (0.0,) if directed else ()
    if field.value is False:
        return (0.0,)
    turns = (
        tuple(float(t) for t in PLEASANT_TURNS)
        if field.value == "free"
        else (field.quantity(turn_deg),)
    )
    if directed and turns != (0.0,):
        raise field.wrong(
            f"Question {number} cannot be turned: its words say which way is up.",
            "Leave 'turn' out, or take the direction out of the words.",
        )
    return turns


def _mirrors(field: Field | None) -> tuple[str, ...]:
    if field is None:
        return ("false",)
    if field.value == "free":
        return ("false", "true")
    return ("true",) if field.truth() else ("false",)


def _check_names(variation: Variation, field: Field, texts: Sequence[str]) -> None:
    idle = unused([name for name, _ in variation.combinations[0]], texts)
    if idle:
        raise field.wrong(
            f"No sentence of question {variation.number} uses {{{idle[0]}}}.",
            f"Write it in a sentence: 'A and B are {{{idle[0]}}} apart.'",
        )


def _check_steps(variation: Variation, field: Field, tolerance: Tolerance) -> None:
    """Values that differ by less than the tolerance give variants that look the same."""
    for name in (n for n, _ in variation.combinations[0]):
        values = list(dict.fromkeys(dict(c)[name] for c in variation.combinations))
        for read, least, unit in (
            (length_mm, tolerance.length_mm, "mm"),
            (angle_deg, tolerance.angle_deg, "degrees"),
        ):
            if any(abs(b - a) < least for a, b in _steps(values, read)):
                raise field.wrong(
                    f"The values of {name} differ by less than the tolerance ({least:g} {unit}): "
                    f"variants of question {variation.number} would look the same.",
                    "Use larger steps.",
                )


def _steps(values: list[str], read: Callable[[object], float]) -> list[tuple[float, float]]:
    """Neighbouring values as numbers; none where they are not of this kind."""
    try:
        numbers = sorted(read(v) for v in values)
    except ValueError:
        return []
    return list(pairwise(numbers))
