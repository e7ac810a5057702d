"""``millimark rehearse``: a class of invented pupils draws a paper and is scanned."""

from __future__ import annotations

from pathlib import Path

import click

from millimark.errors import MillimarkError

MOST_PUPILS = 2000
MOST_HOSTILE = 1000
DPI_LEAST, DPI_MOST = 100, 600
DPI_MIXED = (150, 200, 300, 400, 600)


@click.command("rehearse")
@click.argument("paper", type=click.Path(path_type=Path), metavar="PAPER.yaml")
@click.option("--pupils", type=int, required=True, metavar="N", help="How many pupils.")
@click.option(
    "--seed",
    type=int,
    default=1,
    show_default=True,
    metavar="S",
    help="The same seed gives the same class.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    metavar="DIR",
    help="Folder for the paper, scans/ and truth.json.",
)
@click.option(
    "--print-scale",
    type=float,
    default=1.0,
    show_default=True,
    metavar="0.97",
    help="Printed at this scale; the pupils measure with real rulers.",
)
@click.option(
    "--capture",
    default="flatbed",
    show_default=True,
    metavar="WAY",
    help="How pages are taken: flatbed, feeder, phone or mixed.",
)
@click.option(
    "--dpi",
    default="300",
    show_default=True,
    metavar="DPI",
    help="Resolution of the scans, or mixed: 150, 200, 300, 400 and 600 in turn.",
)
@click.option(
    "--tone",
    default="grey",
    show_default=True,
    help="What a scanner keeps: grey, colour, bilevel or mixed.",
)
@click.option(
    "--form",
    default="jpeg",
    show_default=True,
    help="Files: jpeg, png, tiff, pdf, mixed, batch-pdf (one file) or bundles (stacks).",
)
@click.option(
    "--wear",
    type=float,
    default=0.0,
    show_default=True,
    metavar="SHARE",
    help="Share of sheets that were folded, smudged or stained, 0 to 1.",
)
@click.option(
    "--hostile",
    type=int,
    default=0,
    show_default=True,
    metavar="N",
    help="How many files that are no scans lie among them.",
)
def command(
    paper: Path,
    pupils: int,
    seed: int,
    out: Path,
    print_scale: float,
    capture: str,
    dpi: str,
    tone: str,
    form: str,
    wear: float,
    hostile: int,
) -> None:
    """Try a paper out: invented pupils draw it with the errors of real instruments.

    Writes the printed paper, scans/ and truth.json (what each pupil drew and deserves).
    Marking never sees the truth; compare the two yourself.
    """
    from millimark.cli.console import progress_bar
    from millimark.cli.keeping import REHEARSED, kept_folder
    from millimark.cli.print_scale import checked_scale
    from millimark.paper.reading import read_paper
    from millimark.rehearsal.rehearse import rehearse

    _within("--pupils", pupils, 1, MOST_PUPILS)
    resolutions = _resolutions(dpi)
    _within("--hostile", hostile, 0, MOST_HOSTILE)
    _within("--wear", wear, 0, 1)
    scale = checked_scale(print_scale)
    read = read_paper(paper)
    with kept_folder(out, REHEARSED) as folder, progress_bar("Rehearsing") as progress:
        rehearse(
            read,
            pupils,
            seed,
            folder,
            print_scale=scale or 1.0,
            capture=capture,
            dpi=resolutions,
            tone=tone,
            form=form,
            wear=wear,
            hostile=hostile,
            progress=progress,
        )
    for name in ("scans", "truth.json", "layout.json"):
        click.echo(str(folder / name))


def _resolutions(text: str) -> list[int]:
    """What ``--dpi`` says: one resolution, or all of them in turn."""
    if text == "mixed":
        return list(DPI_MIXED)
    if not (text.isascii() and text.isdigit()):
        raise MillimarkError(f"--dpi {text!r} is no resolution.", "Give a number such as 300.")
    _within("--dpi", int(text), DPI_LEAST, DPI_MOST)
    return [int(text)]


def _within(option: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:  # not-a-number is never within
        raise MillimarkError(f"{option} {value}: it runs from {least} to {most}.")
