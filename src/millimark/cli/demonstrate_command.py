"""``millimark demonstrate``: how one question is done, with moving instruments."""

from __future__ import annotations

from pathlib import Path

import click

from millimark.errors import MillimarkError

MOST_FRAMES_PER_SECOND = 60.0


@click.command("demonstrate")
@click.argument("paper", type=click.Path(path_type=Path), metavar="PAPER.yaml")
@click.option(
    "--question", default="1", show_default=True, metavar="NUMBER", help="The question's number."
)
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
def command(paper: Path, question: str, out: Path, frames: float) -> None:
    """Show the construction of one question act by act.

    Writes demonstration.html (instruments in motion; one file that needs no network),
    captions.vtt, transcript.txt and step-sheets.pdf.
    """
    from millimark.cli.console import progress_bar
    from millimark.cli.keeping import DEMONSTRATED, kept_folder
    from millimark.paper.reading import read_paper
    from millimark.showing.demonstrate import demonstrate

    if not 0 <= frames <= MOST_FRAMES_PER_SECOND:
        raise MillimarkError(
            f"--frames {frames:g}: frames a second run from 0 (none) to {MOST_FRAMES_PER_SECOND:g}."
        )
    read = read_paper(paper)
    with kept_folder(out, DEMONSTRATED) as folder, progress_bar("Demonstrating") as progress:
        demonstrate(read, question, folder, frames, progress)
    for name in DEMONSTRATED:
        if (folder / name).exists():
            click.echo(str(folder / name))
