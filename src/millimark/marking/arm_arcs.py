"""The arcs that halve an angle: one about the vertex that cuts both arms, then equal ones from the
cuts. Paper mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from millimark.marking.arcs_about import (
    LIMIT_MM,
    NEAR_CROSSING_MM,
    ArcsAbout,
    arcs_about,
    crossing,
    gap_to,
    shown,
)
from millimark.marking.equal_arcs import (
    Pair,
    faintly_crossed,
    judged,
    nearly_cross,
    pairs_about,
    traces_about,
)
from millimark.marking.faint import Picture, runs_by
from millimark.marking.findings import EvidenceFinding
from millimark.marking.ink import Ink
from millimark.marking.round_about import with_untraced
from millimark.marking.scene import Scene
from millimark.marking.verdict import Verdict
from millimark.plane.point import Point
from millimark.working.acts import ArcEvidence


def arm_arcs(
    scene: Scene, evidence: ArcEvidence, vertex: Point, arms: Sequence[Point]
) -> EvidenceFinding:
    """The arc about ``vertex`` that cuts both ``arms`` (points on them) and the pair from its cuts
    that fits best, judged."""
    ink, barred, picture = scene.ink, scene.barred, scene.picture
    name = evidence.centres[0]
    u, w = ((arm - vertex).unit() for arm in arms)
    ink = with_untraced(ink, picture, (vertex,), barred)
    about = arcs_about(ink, vertex, barred)
    firsts = [c for c in about if _cuts(ink, c, u) and _cuts(ink, c, w)]
    if not firsts:
        why = f"no arc about {name} that cuts both arms was found"
        verdict: Verdict = "no"
        if any(_faintly_cuts(ink, c, (u, w), picture) for c in about):
            verdict, why = (
                "unsure",
                f"{why}, but it cuts one and pencil runs where it cuts the other",
            )
        traces = traces_about(ink, (vertex,), barred)
        return EvidenceFinding(evidence.name, verdict, why, traces=traces)
    best: tuple[float, ArcsAbout, Pair] | None = None
    nearly = False
    for arcs in firsts:
        e, f = vertex + u * arcs.radius, vertex + w * arcs.radius
        ink = with_untraced(ink, picture, (e, f), barred)
        for pair in pairs_about(ink, e, f, barred, picture):
            if set(pair.a.pieces) <= set(arcs.pieces) or set(pair.b.pieces) <= set(arcs.pieces):
                continue
            crossings = [crossing(pair.a, pair.b, s) for s in pair.sides]
            if not any(_inside_angle(at, vertex, u, w) for at in crossings):
                nearly |= pair.mismatch < LIMIT_MM and nearly_cross(ink, pair)
                continue
            cost = pair.mismatch + 0.5 * (pair.a.astray + pair.b.astray)
            if best is None or cost < best[0]:
                best = (cost, arcs, pair)
        if best is None and not nearly:
            nearly = faintly_crossed(ink, e, f, barred | frozenset(arcs.pieces), picture)
    if best is None:
        why = f"the arc about {name} cuts both arms, but no equal arcs from the two cuts cross"
        return EvidenceFinding(
            evidence.name,
            "unsure" if nearly else "no",
            f"{why}: they come near each other" if nearly else why,
            (firsts[0].radius,),
            frozenset(firsts[0].pieces),
        )
    _, arcs, pair = best
    verdict, why = judged(pair, "the first cut", "the second cut")
    centred = arcs.centred
    if centred != "yes" and verdict == "yes":
        verdict = centred
        why = f"the first arc is centred {arcs.astray:.1f} mm from {name}"
    pieces = frozenset(arcs.pieces + pair.a.pieces + pair.b.pieces)
    return EvidenceFinding(
        evidence.name,
        verdict,
        why,
        (arcs.radius, pair.a.radius, pair.b.radius),
        pieces,
        (arcs.astray, pair.a.astray, pair.b.astray),
        arcs=shown(ink, arcs, pair.a, pair.b),
    )


def _cuts(ink: Ink, arcs: ArcsAbout, arm: Point) -> bool:
    """Whether arcs about a vertex reach an arm, given by its unit direction."""
    return gap_to(ink, arcs, arcs.centre + arm * arcs.radius) <= NEAR_CROSSING_MM


def _faintly_cuts(ink: Ink, arcs: ArcsAbout, arms: tuple[Point, Point], picture: Picture) -> bool:
    """Whether arcs cut one of the arms, and pencil that was not traced runs where they would cut
    the other."""
    for one, other in (arms, arms[::-1]):
        cut = arcs.centre + other * arcs.radius
        if _cuts(ink, arcs, one) and any(runs_by(picture, arcs.centre, arcs.radius, cut)):
            return True
    return False


def _inside_angle(at: Point | None, vertex: Point, u: Point, w: Point) -> bool:
    if at is None:
        return False
    v = at - vertex
    size = v.norm()
    if size < 3.0:
        return False
    middle = Point(u.x + w.x, u.y + w.y).unit()
    return v.dot(middle) / size > math.cos(math.radians(20.0))
