"""Every locus to its curves: which module draws which."""

from __future__ import annotations

from millimark.loci.bisectors import bisector
from millimark.loci.completing import figure_on
from millimark.loci.conditions import (
    AtDistance,
    ChordMidpoints,
    Equidistant,
    FootOfPerpendicular,
    Ladder,
    Locus,
    MidpointsFrom,
    RimPoint,
    RollingShape,
    RopeEnd,
    WheelCentre,
)
from millimark.loci.figure import Figure
from millimark.loci.figures_on import FigureOn
from millimark.loci.moving import (
    chord_midpoints,
    feet,
    ladder,
    midpoints,
    rim_point,
    wheel_centre,
)
from millimark.loci.offsets import Traces, at_distance
from millimark.loci.rolling import rolling_path
from millimark.loci.ropes import rope_end
from millimark.loci.standard import standard_curves


def curves_of(figure: Figure, locus: Locus) -> Traces:
    """All of a locus, unbounded curves included; of an equidistance its first two features."""
    match locus:
        case AtDistance(feature, length):
            return at_distance(figure, feature, length)
        case Equidistant(features):
            return Traces(tuple(bisector(figure, features[0], features[1])))
        case RopeEnd(anchor, length, obstacles):
            return Traces(tuple(rope_end(figure, anchor, length, obstacles)))
        case (
            MidpointsFrom()
            | FootOfPerpendicular()
            | ChordMidpoints()
            | Ladder()
            | RollingShape()
            | WheelCentre()
            | RimPoint()
        ):
            return _moving(figure, locus)
    if isinstance(locus, FigureOn):
        return figure_on(figure, locus)
    return standard_curves(figure, locus)


Moving = (
    MidpointsFrom
    | FootOfPerpendicular
    | ChordMidpoints
    | Ladder
    | RollingShape
    | WheelCentre
    | RimPoint
)


def _moving(figure: Figure, locus: Moving) -> Traces:
    match locus:
        case MidpointsFrom():
            return midpoints(figure, locus)
        case FootOfPerpendicular():
            return feet(figure, locus)
        case ChordMidpoints():
            return chord_midpoints(figure, locus)
        case Ladder():
            return ladder(figure, locus)
        case RollingShape():
            return rolling_path(figure, locus)
        case WheelCentre():
            return wheel_centre(figure, locus)
        case RimPoint():
            return rim_point(figure, locus)
