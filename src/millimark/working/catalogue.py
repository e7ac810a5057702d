"""Every standard construction by name: why it works, where it stands in Euclid, how it is done.

Each entry draws on a figure with fixed letters (``example`` shows them), so that it can be
printed, demonstrated, counted and tested alike.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from millimark.errors import PlanError
from millimark.loci.figure import Figure
from millimark.plane.boxes import Box
from millimark.plane.point import Point
from millimark.working import (
    angle_bisectors,
    angles,
    bisectors,
    circles,
    dividing,
    parallels,
    perpendiculars,
    polygons,
    triangles,
)
from millimark.working.acts import ElementWorking, Working
from millimark.working.bench import Bench, Chooser, first_choice
from millimark.working.instruments import Instruments

Result = str | tuple[str, ...]
"""Names of the marks or inks that a construction was for."""


@dataclass(frozen=True)
class Construction:
    """One construction. ``source`` is its place in Euclid's Elements, 'verified' or 'from
    memory' as our notes on the trade have it."""

    name: str
    source: str
    reason: str
    do: Callable[[Bench], Result]
    example: Figure


@dataclass(frozen=True)
class Built:
    """A construction that was done on a figure."""

    working: Working
    result: Result
    bench: Bench


def construct(
    name: str,
    figure: Figure | None = None,
    instruments: Instruments | None = None,
    room: Box | None = None,
    choose: Chooser = first_choice,
    arcs: bool = True,
) -> Built:
    """Do a construction of the catalogue on ``figure`` (its example if None)."""
    entry = CATALOGUE.get(name)
    if entry is None:
        raise PlanError(
            f"There is no construction called '{name}'.",
            f"The catalogue has: {', '.join(CATALOGUE)}.",
        )
    on = figure or entry.example
    bench = Bench(on, instruments or Instruments(), room or _around(on), arcs)
    bench.choose = choose
    result = entry.do(bench)
    step = ElementWorking(name, name, bench.take(), (), entry.reason)
    return Built(Working((step,)), result, bench)


def _around(figure: Figure) -> Box:
    xs = [p.x for p in figure.points.values()]
    ys = [p.y for p in figure.points.values()]
    middle = Point((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    return Box(middle.x - 12, middle.y - 12, middle.x + 12, middle.y + 12)


# --- the figures the examples stand on ------------------------------------------------------
A, B, C, P = Point(0.0, 0.0), Point(7.0, 0.0), Point(2.5, 5.0), Point(3.0, 3.0)
SEGMENT = Figure({"A": A, "B": B}, segments=(("A", "B"),))
LINE_AND_POINT = Figure({"A": A, "B": B, "P": P}, lines=(("A", "B"),))
POINT_ON_LINE = Figure({"A": A, "B": B, "P": Point(3.0, 0.0)}, lines=(("A", "B"),))
ANGLE = Figure({"A": A, "B": B, "C": C}, segments=(("A", "B"), ("A", "C")))
TRIANGLE = Figure({"A": A, "B": B, "C": C}, polygons=(("A", "B", "C"),))
CIRCLE = Figure({"O": Point(0.0, 0.0), "A": Point(0.0, 4.0)})
CHORDS = Figure({"A": Point(-4.0, 0.0), "B": Point(0.0, 4.0), "C": Point(3.2, -2.4)})
TANGENT = Figure({"O": A, "A": Point(3.0, 0.0), "P": Point(6.5, 2.0)})
TWO_ANGLES = Figure(
    {"A": A, "B": B, "C": C, "D": Point(0.0, -6.0), "E": Point(6.0, -6.0)},
    segments=(("A", "B"), ("A", "C"), ("D", "E")),
)
TWO_SEGMENTS = Figure(
    {"A": A, "B": Point(4.5, 1.0), "C": Point(0.0, -4.0), "D": Point(7.0, -4.0)},
    segments=(("A", "B"), ("C", "D")),
)
NORTH = Figure({"A": A, "N": Point(0.0, 6.0)}, segments=(("A", "N"),))


def _bisect(bench: Bench) -> Result:
    return bisectors.perpendicular_bisector(bench, "A", "B", None).ink


def _bisect_angle(bench: Bench) -> Result:
    return circles.bisector_between(bench, ("B", "A", "C"), (0.0, 6.0), "answer")


def _perpendicular_at(bench: Bench) -> Result:
    return perpendiculars.perpendicular_at(bench, "P", "B", 4.0, (1,), "answer")


def _perpendicular_at_end(bench: Bench) -> Result:
    return perpendiculars.perpendicular_at(bench, "A", "B", 4.0, (1,), "answer")


def _perpendicular_from(bench: Bench) -> Result:
    return perpendiculars.perpendicular_from(bench, "P", "A", "B", "answer", shown=True)


def _parallel(bench: Bench) -> Result:
    return parallels.parallel_through(bench, "P", "A", "B", (-3.0, 4.5))


def _copy_angle(bench: Bench) -> Result:
    return parallels.copy_angle(bench, ("B", "A", "C"), "D", "E", 1)


def _angle(degrees: int) -> Callable[[Bench], Result]:
    return lambda bench: angles.angle_by_compasses(bench, "A", "B", degrees, 1)


def _right_half(bench: Bench) -> Result:
    return triangles.rhs(bench, "A", "B", 1.25 * _length(bench), 1)


def _length(bench: Bench) -> float:
    return bench.points["A"].distance(bench.points["B"])


def _pentagon(bench: Bench) -> Result:
    return polygons.pentagon_in(bench, "O", "A")


SIXTY = angles.WHY_SIXTY
_ENTRIES = (
    Construction(
        "perpendicular bisector", "I.10 (verified)", bisectors.WHY_BISECTOR, _bisect, SEGMENT
    ),
    Construction(
        "midpoint", "I.10 (verified)", bisectors.WHY_BISECTOR,
        lambda b: bisectors.midpoint_of(b, "A", "B"), SEGMENT,
    ),
    Construction(
        "angle bisector", "I.9 (verified)", angle_bisectors.WHY_ANGLE, _bisect_angle, ANGLE
    ),
    Construction(
        "perpendicular at a point", "I.11 (verified)", perpendiculars.WHY_AT,
        _perpendicular_at, POINT_ON_LINE,
    ),
    Construction(
        "perpendicular at the end", "I.11 (verified)", perpendiculars.WHY_AT,
        _perpendicular_at_end, SEGMENT,
    ),
    Construction(
        "perpendicular from a point", "I.12 (verified)", perpendiculars.WHY_FROM,
        _perpendicular_from, LINE_AND_POINT,
    ),
    Construction(
        "parallel through a point", "I.31 (from memory)", parallels.WHY_PARALLEL,
        _parallel, LINE_AND_POINT,
    ),
    Construction(
        "copy a segment", "I.3 (from memory)", parallels.WHY_SEGMENT,
        lambda b: parallels.copy_segment(b, "A", "B", "C", "D"), TWO_SEGMENTS,
    ),
    Construction(
        "copy an angle", "I.23 (from memory)", parallels.WHY_COPY, _copy_angle, TWO_ANGLES
    ),
    *(
        Construction(f"angle of {d}°", "I.1, I.9", SIXTY, _angle(d), SEGMENT)
        for d in (60, 120, 30, 90, 45, 15, 75, 105, 135, 150, 165)
    ),
    Construction(
        "triangle SSS", "I.22 (from memory)", triangles.WHY["SSS"],
        lambda b: triangles.sss(b, "A", "B", 0.8 * _length(b), 0.7 * _length(b), 1), SEGMENT,
    ),
    Construction(
        "triangle SAS", "I.4 (from memory)", triangles.WHY["SAS"],
        lambda b: triangles.sas(b, "A", "B", 45.0, 0.9 * _length(b), 1), SEGMENT,
    ),
    Construction(
        "triangle ASA", "I.26 (from memory)", triangles.WHY["ASA"],
        lambda b: triangles.asa(b, "A", "B", 60.0, 45.0, 1), SEGMENT,
    ),
    Construction("triangle RHS", "from memory", triangles.WHY["RHS"], _right_half, SEGMENT),
    Construction(
        "equilateral triangle", "I.1 (verified)", polygons.WHY["equilateral triangle"],
        lambda b: polygons.equilateral(b, "A", "B", 1), Figure({"A": A, "B": B}),
    ),
    Construction(
        "square on a side", "I.46 (from memory)", polygons.WHY["square"],
        lambda b: polygons.square(b, "A", "B", 1)[0], SEGMENT,
    ),
    Construction(
        "hexagon on a side", "IV.15 (from memory)", polygons.WHY["hexagon"],
        lambda b: polygons.hexagon_on(b, "A", "B", 1),
        Figure({"A": A, "B": Point(4.0, 0.0)}, segments=(("A", "B"),)),
    ),
    Construction(
        "hexagon in a circle", "IV.15 (from memory)", polygons.WHY["hexagon"],
        lambda b: polygons.hexagon_in(b, "O", "A"), CIRCLE,
    ),
    Construction(
        "pentagon in a circle", "IV.11 (from memory)", polygons.WHY["pentagon"],
        _pentagon, CIRCLE,
    ),
    Construction(
        "pentagon on a side", "IV.11 (from memory)", polygons.WHY["pentagon on a side"],
        lambda b: polygons.pentagon_on(b, "A", "B", 1),
        Figure({"A": A, "B": Point(4.0, 0.0)}, segments=(("A", "B"),)),
    ),
    Construction(
        "divide into equal parts", "VI.9 (from memory)", dividing.WHY_DIVIDE,
        lambda b: dividing.divide(b, "A", "B", 5), SEGMENT,
    ),
    Construction(
        "centre of a circle", "III.1 (from memory)", circles.WHY["centre"],
        lambda b: circles.centre_of(b, "A", "B", "C"), CHORDS,
    ),
    Construction(
        "tangent at a point", "III.17 (from memory)", circles.WHY["tangent at"],
        lambda b: circles.tangent_at(b, "O", "A")[0], CIRCLE,
    ),
    Construction(
        "tangent from a point", "III.17 (from memory)", circles.WHY["tangent from"],
        lambda b: circles.tangent_from(b, "O", "A", "P"), TANGENT,
    ),
    Construction(
        "circumcircle", "IV.5 (from memory)", circles.WHY["circumcircle"],
        lambda b: circles.circumcircle(b, "A", "B", "C"), TRIANGLE,
    ),
    Construction(
        "incircle", "IV.4 (from memory)", circles.WHY["incircle"],
        lambda b: circles.incircle(b, "A", "B", "C"), TRIANGLE,
    ),
    Construction(
        "centroid", "from memory", circles.WHY["centroid"],
        lambda b: circles.centroid(b, "A", "B", "C"), TRIANGLE,
    ),
    Construction(
        "orthocentre", "from memory", circles.WHY["orthocentre"],
        lambda b: circles.orthocentre(b, "A", "B", "C"), TRIANGLE,
    ),
    Construction(
        "bearing and distance", "the protractor's scale, clockwise from north",
        "A bearing is the angle clockwise from north.",
        lambda b: dividing.bearing(b, "A", "N", 235.0, 5.0, "10 km"), NORTH,
    ),
)  # fmt: skip

CATALOGUE: dict[str, Construction] = {entry.name: entry for entry in _ENTRIES}
"""In the order in which a course meets them."""
