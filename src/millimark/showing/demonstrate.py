"""Write everything that shows how one question is done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from millimark.errors import PaperError
from millimark.paper.question import Paper
from millimark.paper.question_pages import plan_paper
from millimark.plane.boxes import box_of
from millimark.showing.captions import transcript, webvtt
from millimark.showing.director import direct
from millimark.showing.film import encoder, film
from millimark.showing.picture import frame
from millimark.showing.player import page
from millimark.showing.score import Score
from millimark.showing.sheets import step_sheets
from millimark.showing.stage import Stage, stage_for_construction, stage_of
from millimark.working.bounds import extent
from millimark.working.catalogue import construct
from millimark.working.instruments import Instruments
from millimark.working.optimise import optimised

SPARE = 2.0  # cm round a construction's first choice, for openings that are truer
Progress = Callable[[int, int, str], None]


def demonstrate(
    paper: Paper,
    number: str,
    out: Path,
    frames_per_second: float = 0.0,
    progress: Progress | None = None,
    as_film: bool = False,
) -> tuple[Path, ...]:
    """The files written, in order: ``demonstration.html``, ``captions.vtt``,
    ``transcript.txt``, ``step-sheets.pdf``; if ``frames_per_second`` is over 0,
    ``frames/0000.svg`` and so on; ``as_film``, ``demonstration.mp4``. PaperError where the
    paper has no such question."""
    return write_all(stage_for(paper, number), out, frames_per_second, progress, as_film)


def demonstrate_construction(
    name: str,
    out: Path,
    instruments: Instruments | None = None,
    frames_per_second: float = 0.0,
    progress: Progress | None = None,
    as_film: bool = False,
) -> tuple[Path, ...]:
    """The same files for a standard construction of the catalogue, without a paper. PlanError
    where the catalogue has no such name."""
    stage = stage_for_name(name, instruments)
    return write_all(stage, out, frames_per_second, progress, as_film)


def write_all(
    stage: Stage,
    out: Path,
    frames_per_second: float = 0.0,
    progress: Progress | None = None,
    as_film: bool = False,
) -> tuple[Path, ...]:
    """Direct a stage and write its files; see ``demonstrate``."""
    if as_film:
        encoder()  # what is missing is said before anything is written
    score = direct(stage)
    out.mkdir(parents=True, exist_ok=True)
    parts: dict[str, Callable[[], bytes]] = {
        "demonstration.html": lambda: page(stage, score).encode(),
        "captions.vtt": lambda: webvtt(score).encode(),
        "transcript.txt": lambda: transcript(stage, score).encode(),
        "step-sheets.pdf": lambda: step_sheets(stage, score),
    }
    written = []
    for done, (name, made) in enumerate(parts.items()):
        if progress:
            progress(done, len(parts), name)
        path = out / name
        path.write_bytes(made())
        written.append(path)
    if frames_per_second > 0:
        written += _frames(stage, score, out / "frames", frames_per_second, progress)
    if as_film:
        written.append(film(stage, score, out / "demonstration.mp4", progress=progress))
    if progress:
        progress(len(parts), len(parts), "demonstration")
    return tuple(written)


def stage_for_name(name: str, instruments: Instruments | None = None) -> Stage:
    """The stage of a construction of the catalogue, with the openings that leave the least
    expected error in about the room that its first choice takes. PlanError where the catalogue
    has no such name."""
    first = construct(name, instruments=instruments)
    ink = extent(first.working)
    given = box_of((), first.bench.figure.points.values()) or ink
    room = ink.joined(given).grown(SPARE)
    return stage_for_construction(optimised(name, instruments=instruments, room=room))


def stage_for(paper: Paper, number: str) -> Stage:
    """The stage of a question of a paper, as the page has it."""
    for drawn in plan_paper(paper, "").drawn:
        if drawn.question.number == number:
            return stage_of(drawn, paper.title, paper.instruments)
    known = ", ".join(q.number for q in paper.questions)
    raise PaperError(f"The paper has no question {number}.", f"Its questions are {known}.")


def _frames(
    stage: Stage, score: Score, folder: Path, rate: float, progress: Progress | None
) -> list[Path]:
    folder.mkdir(parents=True, exist_ok=True)
    count = int(score.length * rate) + 2
    written = []
    for k in range(count):
        if progress:
            progress(k, count, "frames")
        path = folder / f"{k:04d}.svg"
        path.write_text(frame(stage, score, min(k / rate, score.length)), encoding="utf-8")
        written.append(path)
    return written
