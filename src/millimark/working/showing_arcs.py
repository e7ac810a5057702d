"""Which arcs show each construction, whatever openings and sides a hand chooses.

Each function gives the evidence for one construction on labelled points of the figure. Where a
construction has more than one common form, any of them shows the method.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from millimark.loci.conditions import TriangleCentre
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence, ArcMeeting, ArcPattern, LineCut, Needle

Unprinted = tuple[tuple[str, Point], ...]


def equal_arcs(a: str, b: str) -> ArcEvidence:
    """Arcs of one radius about two points that cross on both sides, for a bisector that is
    itself only a line of the construction."""
    return ArcEvidence(f"equal arcs from {a} and {b}", "equal-arcs", (a, b), line_too=True)


def arm_arcs(vertex: str, one: str, two: str) -> ArcEvidence:
    """An arc across both arms of an angle, then equal arcs from its cuts."""
    return ArcEvidence(
        f"arc about {vertex} cutting both arms, then equal arcs from the cuts",
        "arm-arcs",
        (vertex, one, two),
    )


def perpendicular_at(p: str, a: str, b: str) -> ArcEvidence:
    """Equal cuts of the line ``a`` ``b`` on both sides of ``p``, then equal arcs from them."""
    pattern = ArcPattern(
        needles=(Needle(p, "r"), Needle("cut 1", "s"), Needle("cut 2", "s")),
        places=(("cut 1", LineCut(p, a, b, False)), ("cut 2", LineCut(p, a, b, True))),
        meetings=(ArcMeeting("cut 1", "cut 2"),),
    )
    name = f"arcs about {p} that cut the line on both sides, then equal arcs from the cuts"
    return ArcEvidence(name, "pattern", _each(p, a, b), pattern=pattern)


def perpendicular_from(p: str, a: str, b: str) -> ArcEvidence:
    """An arc about ``p`` that cuts the line ``a`` ``b`` twice, then equal arcs from the cuts; or
    arcs about both ``a`` and ``b`` through ``p`` that cross again beyond the line."""
    name = f"arc about {p} that cuts {a}{b} twice, then equal arcs from the cuts"
    by_cuts = ArcPattern(
        needles=(Needle(p, "r"), Needle("cut 1", "s"), Needle("cut 2", "s")),
        places=(("cut 1", LineCut(p, a, b, False)), ("cut 2", LineCut(p, a, b, True))),
        meetings=(ArcMeeting("cut 1", "cut 2"),),
    )
    mirrored = ArcPattern(
        needles=(Needle(a, "r", (a, p)), Needle(b, "s", (b, p))), meetings=(ArcMeeting(a, b),)
    )
    return _any_of(
        name,
        (p, a, b),
        ArcEvidence(name, "pattern", (p, a, b), pattern=by_cuts),
        ArcEvidence(f"arcs about {a} and {b} through {p}", "pattern", (p, a, b), pattern=mirrored),
    )


def two_lengths(
    a: str, from_a: float | tuple[str, str], b: str, from_b: float | tuple[str, str],
    near: tuple[str, Point] | None = None,
) -> ArcEvidence:  # fmt: skip
    """Arcs of known radii about ``a`` and ``b`` that cross: two sides of a triangle. ``near``: the
    place where they must; on either side of ``a`` ``b`` where it is None."""
    radii = ("r", "r") if from_a == from_b else ("r", "s")
    pattern = ArcPattern(
        needles=(Needle(a, radii[0], from_a), Needle(b, radii[1], from_b)),
        meetings=(ArcMeeting(a, b, near[0] if near else ""),),
    )
    name = f"arcs about {a} and {b}, {_told(from_a)} and {_told(from_b)}, that cross"
    if from_a == from_b:
        name = f"arcs of radius {_told(from_a)} about {a} and {b} that cross"
    return ArcEvidence(name, "pattern", (a, b), unprinted=(near,) if near else (), pattern=pattern)


def _told(opening: float | tuple[str, str]) -> str:
    return f"{opening:g} cm" if isinstance(opening, int | float) else "".join(opening)


def sixty(vertex: str, arm: str, steps: int) -> ArcEvidence:
    """An arc about the vertex, stepped off from its cut with the arm: once for 60°, twice
    for 120°; on either side of the arm."""
    name = f"arc about {vertex}, and the same radius stepped off from its cut with {vertex}{arm}"
    places: list[tuple[str, LineCut | ArcMeeting]] = [("cut", LineCut(vertex, vertex, arm))]
    needles = [Needle(vertex, "r"), Needle("cut", "r")]
    meetings = [ArcMeeting(vertex, "cut")]
    if steps == 2:
        places.append(("step", meetings[0]))
        needles.append(Needle("step", "r"))
        meetings.append(ArcMeeting(vertex, "step"))
    pattern = ArcPattern(tuple(needles), tuple(places), tuple(meetings))
    return ArcEvidence(name, "pattern", (vertex, arm), pattern=pattern)


def thirty(vertex: str, arm: str) -> ArcEvidence:
    """The arcs for 60°, then equal arcs from the arm's cut and the step."""
    first = ArcMeeting(vertex, "cut")
    pattern = ArcPattern(
        needles=(Needle(vertex, "r"), Needle("cut", "r"), Needle("cut", "s"), Needle("step", "s")),
        places=(("cut", LineCut(vertex, vertex, arm)), ("step", first)),
        meetings=(first, ArcMeeting("cut", "step")),
    )
    return ArcEvidence(
        f"arcs for 60° at {vertex}, then equal arcs that halve it",
        "pattern",
        (vertex, arm),
        pattern=pattern,
    )


def on_side_of(evidence: ArcEvidence, at: Point) -> ArcEvidence:
    """The evidence of an angle whose new arm must run on the side of its arm where ``at`` is."""
    pattern = evidence.pattern
    if pattern is None:
        return evidence
    beside = "the new arm"
    first = pattern.meetings[0]
    moved = replace(first, near=beside)
    return replace(
        evidence,
        unprinted=(*evidence.unprinted, (beside, at)),
        pattern=replace(
            pattern,
            meetings=tuple(replace(m, near=beside) for m in pattern.meetings),
            places=tuple((n, moved if how == first else how) for n, how in pattern.places),
        ),
    )


def copied_angle(one: str, vertex: str, two: str, at: str, arm: str) -> ArcEvidence:
    """One radius about both vertices, then the opening between the cuts from the new cut."""
    return ArcEvidence(
        f"equal arcs about {vertex} and {at}, then the opening between the cuts",
        "pattern",
        _each(vertex, one, two, at, arm),
        pattern=_copied(one, vertex, two, at, arm),
    )


def _copied(one: str, vertex: str, two: str, at: str, arm: str) -> ArcPattern:
    return ArcPattern(
        needles=(
            Needle(vertex, "r"),
            Needle(at, "r"),
            Needle("new cut", "s", ("cut 1", "cut 2")),
        ),
        places=(
            ("cut 1", LineCut(vertex, vertex, one)),
            ("cut 2", LineCut(vertex, vertex, two)),
            ("new cut", LineCut(at, at, arm)),
        ),
        meetings=(ArcMeeting(at, "new cut"),),
    )


def parallel(p: str, a: str, b: str, beyond: dict[str, Point]) -> ArcEvidence:
    """A rhombus of four equal openings on the line ``a`` ``b``, or the angle at ``a`` or ``b``
    carried to ``p``. ``beyond``: by end of the line, a place beyond ``p`` seen from there."""
    name = f"arcs of one radius about {p} and about cuts of {a}{b} (a rhombus)"
    forms = [
        ArcEvidence(name, "pattern", (p, a, b), pattern=_rhombus(p, a, b, first, on))
        for first in (False, True)
        for on in (False, True)
    ]
    for end, other in ((a, b), (b, a)):
        mark = f"{p} beyond {end}"
        forms.append(
            ArcEvidence(
                f"the angle at {end} carried to {p}",
                "pattern",
                (p, a, b),
                unprinted=((mark, beyond[end]),),
                pattern=_copied(other, end, p, p, mark),
            )
        )
    return _any_of(name, (p, a, b), *forms)


def _rhombus(p: str, a: str, b: str, first: bool, on: bool) -> ArcPattern:
    return ArcPattern(
        needles=(Needle(p, "r"), Needle("cut", "r"), Needle("next cut", "r")),
        places=(("cut", LineCut(p, a, b, first)), ("next cut", LineCut("cut", a, b, on))),
        meetings=(ArcMeeting(p, "next cut"),),
    )


def walk(corners: tuple[tuple[str, Point], ...], printed: tuple[str, ...]) -> ArcEvidence:
    """Steps of one opening round a circle: all but two of the corners reached from a neighbour.
    ``printed``: the corners that are points of the figure; ``corners`` go all the way round."""
    places = tuple(corner for corner in corners if corner[0] not in printed)
    names = [name for name, _ in corners]
    parts = []
    for k, at in enumerate(names):
        if at not in printed:
            after = names[(k + 1) % len(names)]
            parts.append(_reached(at, names[k - 1], after, places))
    name = "equal steps of the compasses round the circle"
    least = max(1, len(parts) - 1)
    return ArcEvidence(name, "some-of", printed, unprinted=places, parts=tuple(parts), least=least)


def _reached(at: str, before: str, after: str, places: Unprinted) -> ArcEvidence:
    """A corner that an arc about one of its neighbours passes through."""
    name = f"the step to {at}"
    ways = []
    for start in (before, after):
        step = ArcPattern((Needle(start, "r", (start, at)),), meetings=(ArcMeeting(start, "", at),))
        ways.append(ArcEvidence(name, "pattern", (start,), unprinted=places, pattern=step))
    return ArcEvidence(name, "some-of", (), parts=tuple(ways), least=1, unprinted=places)


def two_bisectors_of_sides(a: str, b: str, c: str) -> ArcEvidence:
    """Equal arcs for the bisectors of two of the sides of a triangle."""
    parts = tuple(equal_arcs(one, two) for one, two in pairwise((a, b, c, a)))
    name = f"equal arcs for the bisectors of two sides of {a}{b}{c}"
    return ArcEvidence(name, "some-of", (a, b, c), parts=parts, least=2, of_choice=True)


def two_bisectors_of_angles(a: str, b: str, c: str) -> ArcEvidence:
    """Arcs for the bisectors of two of the angles of a triangle."""
    parts = (arm_arcs(a, b, c), arm_arcs(b, c, a), arm_arcs(c, a, b))
    name = f"arcs for the bisectors of two angles of {a}{b}{c}"
    return ArcEvidence(name, "some-of", (a, b, c), parts=parts, least=2, of_choice=True)


_OF_CENTRE = {
    "centroid": "equal arcs for the midpoint of {} side of {}",
    "circumcentre": "equal arcs for the bisector of {} side of {}",
    "incentre": "arcs for the bisector of {} angle of {}",
    "orthocentre": "arcs for {} altitude of {}",
    "equidistant": "equal arcs from {} two of {}",
}


def of_centre(
    centre: TriangleCentre, lines: Sequence[ArcEvidence], there: int = 0
) -> tuple[ArcEvidence, ...]:
    """What shows the two lines that fix a centre of a triangle, whichever the hand chooses: first
    one of ``lines``, then a second one of them. ``there``: lines that the question has already."""
    corners = "".join(centre.corners)
    if centre.kind == "equidistant":
        a, b, c = centre.corners
        corners = f"the points {a}, {b} and {c}"
    shown = []
    for k in range(there, min(2, there + len(lines))):
        which = ("any", "another")[k] if centre.kind == "equidistant" else ("one", "a second")[k]
        every = _any_of(_OF_CENTRE[centre.kind].format(which, corners), (), *lines)
        centres = _each(*(label for line in lines for label in line.centres))
        shown.append(
            replace(every, centres=centres, least=k - there + 1, of_choice=True, beyond=k - there)
        )
    return tuple(shown)


def square_on(a: str, b: str) -> ArcEvidence:
    """Arcs for a perpendicular to the side at one of its ends."""
    name = f"arcs for a perpendicular to {a}{b} at {a} or at {b}"
    return _any_of(name, (a, b), perpendicular_at(a, a, b), perpendicular_at(b, a, b))


def _any_of(name: str, centres: tuple[str, ...], *parts: ArcEvidence) -> ArcEvidence:
    unprinted = tuple({n: at for part in parts for n, at in part.unprinted}.items())
    return ArcEvidence(name, "some-of", centres, parts=parts, least=1, unprinted=unprinted)


def _each(*labels: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(labels))
