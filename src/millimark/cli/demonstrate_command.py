"""``millimark demonstrate``: how one question is done, with moving instruments."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from millimark.errors import MillimarkError

if TYPE_CHECKING:
    from millimark.showing.stage import Stage

MOST_FRAMES_PER_SECOND = 60.0


@click.command("demonstrate")
@click.argument("paper", required=False, type=click.Path(path_type=Path), metavar="[PAPER.yaml]")
@click.option(
    "--question", default="1", show_default=True, metavar="NUMBER", help="The question's number."
)
@click.option(
    "--construction",
    metavar="NAME",
    help="A standard construction instead of a paper: 'perpendicular bisector'.",
)
@click.option("--left-handed", is_flag=True, help="For a left hand, whatever the paper says.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    metavar="DIR",
    help="Folder for the files.",
)
@click.option(
    "--frames",
    type=float,
    default=0.0,
    metavar="RATE",
    help="Also write SVG frames, RATE a second, to make a film of.",
)
@click.option("--film", is_flag=True, help="Also write an MP4 film (extra 'millimark[film]').")
def command(
    paper: Path | None,
    question: str,
    construction: str | None,
    left_handed: bool,
    out: Path,
    frames: float,
    film: bool,
) -> None:
    """Show the construction of one question act by act.

    Writes demonstration.html (instruments in motion; one file that needs no network),
    captions.vtt, transcript.txt and step-sheets.pdf.
    """
    from millimark.cli.console import progress_bar
    from millimark.cli.keeping import DEMONSTRATED, kept_folder
    from millimark.showing.demonstrate import write_all

    if not 0 <= frames <= MOST_FRAMES_PER_SECOND:
        raise MillimarkError(
            f"--frames {frames:g}: frames a second run from 0 (none) to {MOST_FRAMES_PER_SECOND:g}."
        )
    stage = _stage(paper, question, construction, left_handed)
    with kept_folder(out, DEMONSTRATED) as folder, progress_bar("Demonstrating") as progress:
        write_all(stage, folder, frames, progress, film)
    for name in DEMONSTRATED:
        if (folder / name).exists():
            click.echo(str(folder / name))


def _stage(paper: Path | None, question: str, construction: str | None, left_handed: bool) -> Stage:
    """The stage of a paper's question or of a construction of the catalogue."""
    from millimark.paper.reading import paper_from_data, read_paper
    from millimark.showing.demonstrate import stage_for, stage_for_name
    from millimark.working.instruments import Instruments

    if (paper is None) == (construction is None):
        raise MillimarkError(
            "Either a paper or a construction is demonstrated.",
            "Give PAPER.yaml with --question, or --construction NAME.",
        )
    if paper is not None:
        read = read_paper(paper)
        if left_handed:
            access = {**read.data.get("access", {}), "hand": "left"}
            read = paper_from_data({**read.data, "access": access}, str(paper))
        return stage_for(read, question)
    return stage_for_name(str(construction), Instruments(left_handed=left_handed))
