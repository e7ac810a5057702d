"""What marking finds and decides, as values: the content of marks.json.

Paper millimetres unless a name says otherwise. A thing that was not found keeps its
place with ``found`` False and the reason where one is known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from millimark.marking.verdict import Verdict
from millimark.plane.curves import Curve
from millimark.plane.point import Point
from millimark.scan.reading import ScaleSource, Source

END_SIGMA_MM = 0.5
"""Standard uncertainty of where a stroke ends, mm: pencil fades out, and short ends past a
crossing are lost (measured on the rehearsal's scans)."""

Decision = Literal["awarded", "withheld", "teacher"]


@dataclass(frozen=True, eq=False)
class SeenArc:
    """A recognised construction arc: its points (N, 2) paper mm and its radius, mm."""

    xy: NDArray[np.float64]
    radius: float


@dataclass(frozen=True)
class EvidenceFinding:
    """Construction arcs: ``verdict`` says whether the method is shown, ``why`` in words.

    ``radii`` mm as drawn; ``pieces`` the pencil that it claims (indices of pieces);
    ``astray`` how far each centre is from its place, mm; ``arcs`` what to show;
    ``owner`` the element that they work for; ``shortfall`` that they are too small to cross;
    ``traces`` that some arcs about its centres were seen; ``asked`` that a mark hangs on them;
    ``whole`` that all of them were seen to cross, so that their radii and centres decide.
    """

    evidence: str
    verdict: Verdict
    why: str
    radii: tuple[float, ...] = ()
    pieces: frozenset[int] = frozenset()
    astray: tuple[float, ...] = ()
    owner: str = ""
    arcs: tuple[SeenArc, ...] = ()
    shortfall: bool = False
    traces: bool = False
    asked: bool = True
    whole: bool = False

    @property
    def found(self) -> bool:
        """Whether arcs that show the method were found."""
        return self.verdict == "yes"


@dataclass(frozen=True)
class PartFinding:
    """How much of one part ("all", "straight", "round") of the needed locus is drawn.

    ``coverage`` is the share with pencil within tolerance; ``low`` and ``high`` bound it when
    the deviations move by 1.96 standard uncertainties and the ends are read strictly or
    generously. ``within_mm`` is the length of pencil within tolerance, ``within_high_mm`` with
    what may go on along it untraced; ``worst_mm`` the worst deviation of the pencil beside this
    part.
    """

    coverage: float
    low: float
    high: float
    needed_mm: float
    within_mm: float
    worst_mm: float = 0.0
    within_high_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class Deviation:
    """The profile of one drawn line: points (N, 2) paper mm and their distance (N,) from the
    locus, signed where the locus has two sides (left of a line, outside a circle). ``loose`` says
    of its first and last end whether the pencil ends there."""

    xy: NDArray[np.float64]
    off: NDArray[np.float64]
    loose: tuple[bool, bool] = (True, True)


@dataclass(frozen=True, eq=False)
class Course:
    """The drawn line along one smooth support: places ``t`` (N,) mm in order and signed
    offsets ``u`` (N,) mm; ``turn`` radians for each mm of t (0 for a straight support)."""

    t: NDArray[np.float64]
    u: NDArray[np.float64]
    turn: float


STEADY_MM, FREEHAND_MM = 0.14, 0.28
"""Waves, rms mm, up to which a line was guided by an instrument, and from which it was not: common
practice, no source."""


@dataclass(frozen=True, eq=False)
class ElementFinding:
    """One measured element. Values are None where nothing was found or it has none.

    ``worst_needed_mm`` is the worst deviation beside the part that the answer needs,
    ``worst_mm`` over the whole drawn line; ``worst_at`` where. ``drawn`` are the pupil's
    own curves as fitted (for follow-through and pictures). ``offset_mm`` is measured at the
    middle of the pencil for a line, between the centres for an arc. ``scale_part_mm`` is
    what an unsure print scale adds to the uncertainty. ``worst_mm`` is taken against the whole
    line or circle, as a marker lays an overlay; ``overrun_mm`` is how far the pencil runs on
    beyond the locus's own end (an angle's vertex, an arc's end) and the 2 mm that nobody minds.
    ``worst_sigma_mm`` is the standard uncertainty of ``worst_mm``, ``uncertainty_mm`` that of one
    deviation; ``excess_mm`` the part of ``worst_sigma_mm`` that can only make the worst less.
    ``twice_mm`` is the length over which the line is drawn twice: judged in the middle of both.
    ``needle`` is where the compasses' needle stood, if its hole was seen.
    ``hatch_edge``: a line that may be only the outermost stroke of the shading; ``entangled``: one
    so uneven beside shading that a stroke of it may have been followed instead; ``lost``: one that
    was not found, though pencil lies along most of it.
    """

    element: str
    kind: Literal["line", "arc", "path"]
    found: bool
    worst_mm: float | None = None
    worst_needed_mm: float | None = None
    mean_mm: float | None = None
    uncertainty_mm: float | None = None
    coverage: float = 0.0
    offset_mm: float | None = None
    offset_sigma_mm: float | None = None
    angle_deg: float | None = None
    angle_sigma_deg: float | None = None
    centre: Point | None = None
    radius_mm: float | None = None
    radius_asked_mm: float | None = None
    radius_sigma_mm: float | None = None
    roughness_mm: float | None = None
    worst_at: Point | None = None
    parts: dict[str, PartFinding] = field(default_factory=dict)
    drawn: tuple[Curve, ...] = ()
    profile: tuple[Deviation, ...] = ()
    course: tuple[Course, ...] = ()
    rival_mm: float | None = None
    darkness: float = 0.0
    scale_part_mm: float = 0.0
    overrun_mm: float = 0.0
    worst_sigma_mm: float = 0.0
    excess_mm: float = 0.0
    twice_mm: float = 0.0
    hatch_edge: bool = False
    entangled: bool = False
    lost: bool = False
    needle: Point | None = None

    @property
    def drawn_with(self) -> Literal["ruler", "compasses", "freehand"] | None:
        """What the line looks drawn with; None where its waves do not tell, or where other pencil
        may be among them."""
        if self.roughness_mm is None or self.entangled:
            return None
        if self.excess_mm > max(STEADY_MM, 1.5 * self.roughness_mm):
            return None
        if self.roughness_mm > FREEHAND_MM:
            return "freehand"
        if self.roughness_mm > STEADY_MM or self.kind == "path":
            return None
        return "ruler" if self.kind == "line" else "compasses"

    @property
    def farthest_mm(self) -> float | None:
        """Largest distance of the pencil from the locus with its ends; None if not found."""
        return None if self.worst_mm is None else max(self.worst_mm, self.overrun_mm)

    @property
    def farthest_sigma_mm(self) -> float | None:
        """Standard uncertainty of ``farthest_mm``: where pencil ends is known less well, and of two
        lines that could be the answer neither is known to be."""
        if self.worst_mm is None or self.uncertainty_mm is None:
            return None
        if self.rival_mm is not None:
            return max(self.worst_sigma_mm, abs(self.rival_mm - self.worst_mm))
        if self.overrun_mm > self.worst_mm:
            return math.hypot(self.uncertainty_mm, END_SIGMA_MM)
        return max(self.uncertainty_mm, self.worst_sigma_mm)


@dataclass(frozen=True, eq=False)
class RegionFinding:
    """Shading. ``overlap`` is area shaded and right over area shaded or right; ``inside`` the
    share of the shading that is right, ``filled`` the share of the right region shaded; all
    away from the boundary by the hand's width, against the pupil's own lines. ``spill_mm2`` is
    the area of shaded cells outside the region; ``inside_true`` the share of the shading that the
    true lines would have right; ``beyond_mm2`` the area of shading, right by the pupil's own lines,
    that lies farther outside the true region than tolerance and hand explain; ``unexplained`` the
    share of the right region with pencil that no line or arc explains; ``room_mm2`` the right
    region's area. ``tone_decides``: without an even grey on a photograph, which may be a shadow,
    the shading would be judged otherwise."""

    asked: bool
    shaded: bool = False
    overlap: float = 0.0
    inside: float = 0.0
    filled: float = 0.0
    right_side: bool = False
    follow_through: bool = False
    area_mm2: float = 0.0
    spill_mm2: float = 0.0
    outline: tuple[NDArray[np.float64], ...] = ()
    inside_true: float = 0.0
    beyond_mm2: float = 0.0
    unexplained: float = 0.0
    room_mm2: float = 0.0
    pale: bool = False
    tone_decides: bool = False


@dataclass(frozen=True)
class PointFinding:
    """A point that was to be marked at ``at``: where the mark nearest to it stands, how far off
    it is and the standard uncertainty of that; ``found`` False where there is none near it.
    ``points`` is what the points are called together; ``pencil_there`` whether pencil passes or
    ends at the right place, whatever it is."""

    points: str
    at: Point
    found: bool
    marked_at: Point | None = None
    off_mm: float | None = None
    uncertainty_mm: float | None = None
    pencil_there: bool = False


@dataclass(frozen=True)
class ReadingFinding:
    """An answer line: what is to be read, the right value on this paper and the band that counts
    in words, and whether anything is written there."""

    reading: str
    told: str
    band: str
    written: bool


@dataclass(frozen=True)
class Fault:
    """A likely cause: its code, a sentence with its size, the size (mm, degrees or share)."""

    fault: str
    text: str
    size_mm: float | None = None
    confidence: float | None = None
    element: str | None = None


@dataclass(frozen=True)
class Mark:
    """One mark of the scheme, decided, with the reason that measuring gave in a plain sentence.

    ``person`` is who looked at it after measuring ("" if nobody), ``said`` what they wrote, and
    ``overruled`` that they decided otherwise than measuring did: the reason is then not theirs.
    """

    code: str
    criterion: str
    decision: Decision
    reason: str
    follow_through: bool = False
    person: str = ""
    said: str = ""
    overruled: bool = False

    @property
    def told(self) -> str:
        """The reason that stands: a person's words before what was measured."""
        if not self.person:
            return self.reason
        if self.said:
            return f"{self.said} ({self.person}; measured: {self.reason})"
        return self.reason


@dataclass(frozen=True, eq=False)
class QuestionMarks:
    """One question of one script. ``page`` is None where its page was not there to mark;
    ``lengths`` by how much each asked length was drawn too long, mm, where the print scale
    is known."""

    question: str
    marks: tuple[Mark, ...]
    elements: tuple[ElementFinding, ...]
    evidence: tuple[EvidenceFinding, ...]
    region: RegionFinding
    faults: tuple[Fault, ...]
    page: int | None
    points: tuple[PointFinding, ...] = ()
    lengths: tuple[float, ...] = ()
    readings: tuple[ReadingFinding, ...] = ()

    @property
    def awarded(self) -> int:
        """Marks awarded."""
        return sum(m.decision == "awarded" for m in self.marks)

    @property
    def out_of(self) -> int:
        """Marks that there are."""
        return len(self.marks)

    @property
    def for_teacher(self) -> bool:
        """Whether any mark waits for the teacher."""
        return any(m.decision == "teacher" for m in self.marks)


@dataclass(frozen=True, eq=False)
class Script:
    """One pupil's sheet, marked: questions in the paper's order."""

    sheet: str
    pupil: str | None
    questions: tuple[QuestionMarks, ...]

    @property
    def total(self) -> int:
        """Marks awarded on the whole sheet."""
        return sum(q.awarded for q in self.questions)

    @property
    def out_of(self) -> int:
        """Marks that the paper is worth."""
        return sum(q.out_of for q in self.questions)

    @property
    def for_teacher(self) -> int:
        """Number of marks that wait for the teacher."""
        return sum(m.decision == "teacher" for q in self.questions for m in q.marks)


@dataclass(frozen=True)
class PageLine:
    """One page image of the batch: read, or not and why. ``scale_seen`` is the print scale
    that the sheet's own edges in a photograph say; None where they were not asked or not seen."""

    source: Source
    status: Literal["read", "unread"]
    reason: str | None = None
    sheet: str | None = None
    page: int | None = None
    print_scale: float | None = None
    print_scale_source: ScaleSource | None = None
    registration_mm: float | None = None
    scale_seen: float | None = None
