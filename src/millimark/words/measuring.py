"""Lengths and angles of the sentences, by the points that they speak of."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from millimark.errors import GivensError
from millimark.words.facts import (
    AngleOf,
    Diagonals,
    Fact,
    Hypotenuse,
    Length,
    Perimeter,
    Quantity,
    RightAngleAt,
    SameLength,
    Shape,
    Sides,
    VertexAngle,
)
from millimark.words.known import number
from millimark.words.mentioned import Compiled
from millimark.words.units import Scale


def measure(facts: Sequence[Fact], out: Compiled, scale: Scale) -> None:
    """Lengths and angles of the sentences into ``out.known``."""
    shape: Shape | None = None
    for fact in facts:
        match fact:
            case Shape():
                shape = fact
            case Length(a, b, length):
                cm = scale.cm(length)
                out.known.set_length(a, b, cm, f"{a}{b} = {said(length)}")
            case Sides(lengths):
                _sides(shape, lengths, out, scale.cm)
            case Perimeter(length):
                _perimeter(shape, length, out, scale.cm)
            case Hypotenuse(length):
                _hypotenuse(shape, facts, length, out, scale.cm)
            case Diagonals(one, two):
                _diagonals(shape, [d for d in (one, two) if d is not None], out, scale.cm)
            case AngleOf(a, v, b, degrees):
                out.known.set_angle(a, v, b, degrees, f"angle {a}{v}{b} = {number(degrees)}°")
            case VertexAngle(v, degrees):
                a, b = _arms(v, facts, out)
                out.known.set_angle(a, v, b, degrees, f"angle {v} = {number(degrees)}°")
            case RightAngleAt(v):
                a, b = _arms(v, facts, out)
                out.known.set_angle(a, v, b, 90.0, f"there is a right angle at {v}")
            case SameLength(a, b, c, d):
                out.known.set_equal((a, b), (c, d), f"{a}{b} = {c}{d}")
            case _:
                pass


def said(length: Quantity) -> str:
    return f"{number(length.value)} {length.unit}"


def _sides(
    shape: Shape | None,
    lengths: Sequence[Quantity],
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    if shape is None:
        raise GivensError(
            f"A side of {said(lengths[0])} is given, but no shape before it.",
            "Name the shape first, as in 'Square ABCD has side 5 cm'.",
        )
    labels = shape.labels
    for i, length in enumerate(lengths):
        a, b = labels[i % len(labels)], labels[(i + 1) % len(labels)]
        out.known.set_length(a, b, cm(length), f"{a}{b} = {said(length)}")


def _perimeter(
    shape: Shape | None, length: Quantity, out: Compiled, cm: Callable[[Quantity], float]
) -> None:
    kind = shape.kind if shape else "shape"
    if shape is None or not (kind in _EQUAL_SIDES or "regular" in kind):
        raise GivensError(
            f"A perimeter of {said(length)} does not fix the sides of a {kind}.",
            "Give the sides themselves.",
        )
    a, b = shape.labels[:2]
    size = cm(length) / len(shape.labels)
    out.known.set_length(a, b, size, f"the perimeter is {said(length)}")


_EQUAL_SIDES = ("equilateral triangle", "square", "rhombus")


def _hypotenuse(
    shape: Shape | None,
    facts: Sequence[Fact],
    length: Quantity,
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    labels = shape.labels if shape else ()
    right = [f.v for f in facts if isinstance(f, RightAngleAt) and f.v in labels]
    right += [f.v for f in facts if isinstance(f, AngleOf) and f.degrees == 90 and f.v in labels]
    if len(labels) != 3 or not right:
        raise GivensError(
            f"A hypotenuse of {said(length)} is given before any right angle of a triangle.",
            "Say first where the right angle is, as in 'Triangle PQR is right-angled at Q'.",
        )
    a, b = (p for p in labels if p != right[0])
    out.known.set_length(a, b, cm(length), f"the hypotenuse {a}{b} = {said(length)}")


def _diagonals(
    shape: Shape | None,
    lengths: Sequence[Quantity],
    out: Compiled,
    cm: Callable[[Quantity], float],
) -> None:
    if shape is None or len(shape.labels) != 4:
        raise GivensError(
            "A diagonal is given, but no four-sided shape before it.",
            "Name the shape first, as in 'Rhombus ABCD has diagonals 6 cm and 8 cm'.",
        )
    a, b, c, d = shape.labels
    for (p, q), length in zip(((a, c), (b, d)), lengths, strict=False):
        out.known.set_length(p, q, cm(length), f"the diagonal {p}{q} = {said(length)}")


def _arms(v: str, facts: Sequence[Fact], out: Compiled) -> tuple[str, str]:
    """The two neighbours of the vertex v that "angle v" speaks of."""
    for shape in out.shapes:
        if v in shape.labels:
            i = shape.labels.index(v)
            return shape.labels[i - 1], shape.labels[(i + 1) % len(shape.labels)]
    ends = [f.b if f.a == v else f.a for f in facts if isinstance(f, Length) and v in (f.a, f.b)]
    ends = list(dict.fromkeys(ends))
    if len(ends) == 2:
        return ends[0], ends[1]
    raise GivensError(
        f"'angle {v}' does not say between which lines.",
        f"Name it by three letters, as in 'angle B{v}C', or name the shape.",
    )
