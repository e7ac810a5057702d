"""What the name of a shape implies: equal sides, right angles, parallels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from millimark.errors import GivensError
from millimark.plane.point import Point
from millimark.words.constraints import Constraint, EqualDist, Parallelogram, Slope
from millimark.words.facts import Shape
from millimark.words.known import Known

CORNERS = {
    "triangle": 3, "equilateral triangle": 3, "isosceles triangle": 3, "right-angled triangle": 3,
    "square": 4, "rectangle": 4, "parallelogram": 4, "rhombus": 4, "kite": 4, "trapezium": 4,
    "isosceles trapezium": 4, "quadrilateral": 4, "pentagon": 5, "hexagon": 6, "heptagon": 7,
    "octagon": 8, "regular pentagon": 5, "regular hexagon": 6, "regular heptagon": 7,
    "regular octagon": 8,
}  # fmt: skip


def check_labels(shape: Shape) -> None:
    """A shape has as many vertices as its name says, all different."""
    name = f"{shape.kind} {''.join(shape.labels)}"
    if len(set(shape.labels)) != len(shape.labels):
        raise GivensError(f"The {name} names a vertex twice.", "Give each vertex its own letter.")
    wanted = CORNERS.get(shape.kind)
    if wanted is not None and wanted != len(shape.labels):
        raise GivensError(
            f"The {name} is named by {len(shape.labels)} letters; a {shape.kind} has {wanted} "
            "vertices.",
            "Name every vertex once, in order round the shape.",
        )


def imply(shape: Shape, known: Known) -> list[Constraint]:
    """Add to ``known`` what the shape's name implies; return the rest as constraints."""
    labels = shape.labels
    n = len(labels)
    name = f"{shape.kind} {''.join(labels)}"
    sides = [(labels[i], labels[(i + 1) % n]) for i in range(n)]
    if n == 3:
        known.triangles.add(frozenset(labels))
    if shape.kind in ("equilateral triangle", "square", "rhombus") or "regular" in shape.kind:
        _all_equal(sides, f"all sides of {name} are equal", known)
    if shape.kind == "equilateral triangle" or "regular" in shape.kind:
        _all_angles(labels, 180 - 360 / n, name, known)
    if shape.kind in ("square", "rectangle"):
        _all_angles(labels, 90.0, name, known)
    if shape.kind in ("square", "rectangle", "parallelogram", "rhombus"):
        return _parallelogram(labels, sides, name, known)
    if shape.kind == "isosceles trapezium":
        a, b, c, d = labels
        known.set_equal((a, d), (b, c), f"{a}{d} = {b}{c} in {name}")
        return [EqualDist(a, c, b, d, f"the diagonals of {name} are equal")]
    if shape.kind == "kite":
        a, b, c, d = labels
        known.set_equal((a, b), (a, d), f"{a}{b} = {a}{d} in {name}")
        known.set_equal((c, b), (c, d), f"{c}{b} = {c}{d} in {name}")
    return []


def clockwise(shapes: Sequence[Shape], at: Mapping[str, Point]) -> int:
    """How many corners of the shapes turn clockwise, vertices not yet placed left out."""
    count = 0
    for shape in shapes:
        ring = [at[v] for v in shape.labels if v in at]
        n = len(ring)
        for i in range(n if n >= 3 else 0):
            u, v, w = (ring[(i + k) % n] for k in range(3))
            count += (v - u).cross(w - v) < -1e-9
    return count


def parallel_sides(shape: Shape) -> Slope:
    """The parallel sides of a trapezium of which nothing else is said: first and third."""
    a, b, c, d = shape.labels
    says = f"{a}{b} and {d}{c} are the parallel sides of {shape.kind} {a}{b}{c}{d}"
    return Slope(a, b, d, c, 0.0, says)


def _all_equal(sides: Sequence[tuple[str, str]], says: str, known: Known) -> None:
    for other in sides[1:]:
        known.set_equal(sides[0], other, says)


def _all_angles(labels: Sequence[str], degrees: float, name: str, known: Known) -> None:
    n = len(labels)
    for i, v in enumerate(labels):
        says = f"each angle of {name} is {degrees:g}°"
        known.set_angle(labels[i - 1], v, labels[(i + 1) % n], degrees, says)


def _parallelogram(
    labels: Sequence[str], sides: Sequence[tuple[str, str]], name: str, known: Known
) -> list[Constraint]:
    a, b, c, d = labels
    for one, two in ((0, 2), (1, 3)):
        known.set_equal(sides[one], sides[two], f"opposite sides of {name} are equal")
    for i, v in enumerate(labels):
        corner = (v, frozenset((labels[i - 1], labels[(i + 1) % 4])))
        if corner in known.angles:
            _spread_angle(labels, i, *known.angles[corner], known)
            break
    return [Parallelogram(a, b, c, d, f"{name} has parallel opposite sides")]


def _spread_angle(labels: Sequence[str], i: int, degrees: float, says: str, known: Known) -> None:
    for step in range(1, 4):
        v = labels[(i + step) % 4]
        before, after = labels[(i + step - 1) % 4], labels[(i + step + 1) % 4]
        size = degrees if step == 2 else 180 - degrees
        known.set_angle(before, v, after, size, says)
