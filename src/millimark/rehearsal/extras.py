"""What else a pupil's page carries: labels, stray marks, first tries crossed out."""

from __future__ import annotations

import numpy as np

from millimark.rehearsal.bench import relined, wavy
from millimark.rehearsal.pencil import PencilStroke, Xy, normals, resampled

Rng = np.random.Generator
Frame = tuple[float, float, float, float]

# Letters as polylines on a cell 1 wide and 1.4 high, y down; several strokes each.
LETTERS: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "R": (((0, 1.4), (0, 0), (0.6, 0.05), (0.8, 0.35), (0.5, 0.7), (0, 0.75)),
          ((0.3, 0.75), (0.9, 1.4))),
    "L": (((0.1, 0), (0.05, 1.4), (0.8, 1.35)),),
    "4": (((0.5, 0), (0, 0.9), (0.9, 0.85)), ((0.6, 0.5), (0.6, 1.4))),
    "c": (((0.8, 0.6), (0.4, 0.5), (0.1, 0.9), (0.3, 1.35), (0.8, 1.25)),),
    "m": (((0, 0.6), (0, 1.4)), ((0, 0.8), (0.3, 0.55), (0.45, 1.4)),
          ((0.45, 0.8), (0.75, 0.55), (0.9, 1.4))),
    "X": (((0, 0), (0.8, 1.4)), ((0.85, 0), (0, 1.4))),
}  # fmt: skip
WORDS = ("R", "4cm", "X", "Lcm", "R4")


def label(frame: Frame, rng: Rng, darkness: float) -> list[PencilStroke]:
    """A short word written somewhere in the frame."""
    word = WORDS[int(rng.integers(len(WORDS)))]
    size = float(rng.uniform(2.6, 4.0))
    x = float(rng.uniform(frame[0] + 8, frame[2] - 8 - size * len(word) * 1.2))
    y = float(rng.uniform(frame[1] + 8, frame[3] - 12))
    strokes = []
    for i, letter in enumerate(word):
        for path in LETTERS[letter]:
            xy = np.array(path) * size + (x + i * size * 1.25, y)
            xy = resampled(xy + rng.normal(0, 0.06 * size, xy.shape), 0.3)
            strokes.append(PencilStroke(xy, "label", width=0.5, darkness=darkness))
    return strokes


def stray_marks(frame: Frame, rng: Rng) -> list[PencilStroke]:
    """A few ticks and slips of the pencil, 1 to 6 mm long."""
    marks = []
    for _ in range(int(rng.integers(1, 5))):
        at = np.array(
            [rng.uniform(frame[0] + 4, frame[2] - 4), rng.uniform(frame[1] + 4, frame[3] - 4)]
        )
        angle, length = rng.uniform(0, 2 * np.pi), rng.uniform(0.8, 6.0)
        end = at + length * np.array([np.cos(angle), np.sin(angle)])
        xy = wavy(resampled(np.array([at, end]), 0.3), 0.15, rng)
        marks.append(PencilStroke(xy, "stray", width=0.45, darkness=float(rng.uniform(0.2, 0.5))))
    return marks


def doubled(answer: list[PencilStroke], rng: Rng) -> list[PencilStroke]:
    """The same lines gone over again, a little to one side."""
    again = []
    for s in answer:
        if s.length < 20:
            continue
        aside = float(rng.uniform(0.35, 0.8)) * (1 if rng.random() < 0.5 else -1)
        n = len(s.xy)
        part = slice(int(n * rng.uniform(0, 0.3)), int(n * rng.uniform(0.6, 1.0)))
        xy = s.xy[part] + normals(s.xy[part]) * aside
        again.append(relined(s, wavy(xy, 0.05, rng)))
    return again


def first_try(answer: list[PencilStroke], frame: Frame, rng: Rng) -> list[PencilStroke]:
    """An earlier, wrong, line and the scribble that crosses it out; nothing where the frame
    has no room for it."""
    if not answer:
        return []
    model = max(answer, key=lambda s: s.length)
    n = len(model.xy)
    take = min(n, int(rng.uniform(50, 130)))
    first = int(rng.integers(0, n - take + 1))
    piece = model.xy[first : first + take]
    if len(piece) < 8:
        return []
    aside = float(rng.uniform(6, 11)) * (1 if rng.random() < 0.5 else -1)
    wrong = piece + normals(piece) * aside
    if not _within(wrong, frame):
        wrong = piece - normals(piece) * aside
    if not _within(wrong, frame):
        return []
    tried = PencilStroke(wrong, "cancelled", width=model.width, darkness=model.darkness * 0.9)
    return [tried, PencilStroke(_zigzag(wrong, rng), "scribble", width=0.55, darkness=0.5)]


def _within(xy: Xy, frame: Frame) -> bool:
    low, high = xy.min(axis=0), xy.max(axis=0)
    return bool(
        low[0] > frame[0] + 4 and low[1] > frame[1] + 4
        and high[0] < frame[2] - 4 and high[1] < frame[3] - 4
    )  # fmt: skip


def rubbed_out(answer: list[PencilStroke], frame: Frame, rng: Rng) -> list[PencilStroke]:
    """What is left of a wrong line after the eraser: a ghost of it in a grey smear."""
    tried = first_try(answer, frame, rng)
    if not tried:
        return []
    ghost = tried[0].xy
    faint = float(rng.uniform(0.05, 0.11))
    smear = resampled(ghost + rng.normal(0, 0.4, ghost.shape[1]), 4.0)
    return [
        PencilStroke(ghost, "rubbed", width=0.55, darkness=faint),
        PencilStroke(_zigzag(smear, rng), "rubbed", width=3.0, darkness=0.025),
    ]


def near_arc(answer: list[PencilStroke], rng: Rng) -> list[PencilStroke]:
    """A pale construction arc that runs 2.2 to 3 mm beside an answer arc for a while."""
    arcs = [s for s in answer if s.compass is not None and s.length > 30]
    if not arcs:
        return []
    s = arcs[int(rng.integers(len(arcs)))]
    n = len(s.xy)
    take = int(min(n, rng.uniform(60, 120)))
    first = int(rng.integers(0, n - take + 1))
    piece = s.xy[first : first + take]
    aside = float(rng.uniform(2.2, 3.0)) * (1 if rng.random() < 0.5 else -1)
    beside = piece + normals(piece) * aside
    return [PencilStroke(beside, "construction", s.element, "round", width=0.4, darkness=0.3)]


def _zigzag(xy: Xy, rng: Rng) -> Xy:
    """To and fro across a line, 2 to 3 mm to each side, about a turn every 1.5 mm."""
    line = resampled(xy, 1.4)
    side = np.where(np.arange(len(line)) % 2 == 0, 1.0, -1.0) * rng.uniform(1.8, 3.0, len(line))
    return resampled(line + normals(line) * side[:, None], 0.3)
