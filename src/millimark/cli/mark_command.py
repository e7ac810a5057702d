"""``millimark mark``: from scans to marks with reasons."""

from __future__ import annotations

from pathlib import Path

import click

from millimark.errors import SourceError


@click.command("mark")
@click.argument(
    "scans", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="SCAN..."
)
@click.option(
    "--layout",
    type=click.Path(path_type=Path),
    required=True,
    metavar="layout.json",
    help="The file that 'print' wrote beside the question paper.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    metavar="DIR",
    help="Folder for marks.json, marks.csv, annotated.pdf, feedback.pdf and the class sheet.",
)
@click.option(
    "--print-scale",
    type=float,
    metavar="0.97",
    help="What the 100 mm check rule measures on the paper, over 100.",
)
@click.option(
    "--verbose", is_flag=True, help="Say how long it took and what memory the workers needed."
)
@click.pass_context
def command(
    ctx: click.Context,
    scans: tuple[Path, ...],
    layout: Path,
    out: Path,
    print_scale: float | None,
    verbose: bool,
) -> None:
    """Mark scanned or photographed pages: PDFs, PNG, JPEG and TIFF, or folders of them.

    A page that cannot be read is listed with its reason and the others are marked
    (exit code 1). A mark too close to its limit is left to the teacher. What 'print' and
    'mark' wrote is left out of a folder of scans.
    """
    from time import monotonic

    from millimark.cli.console import progress_bar, tell
    from millimark.cli.door import DONE, SOME_UNREAD
    from millimark.cli.keeping import MARKED, kept_folder
    from millimark.cli.marks_table import print_marks, read_marks
    from millimark.cli.print_scale import checked_scale
    from millimark.marking.batch import mark_batch
    from millimark.scan.sources import files_of

    scale, began = checked_scale(print_scale), monotonic()
    if not any(True for _ in files_of(scans)):
        raise SourceError(
            f"There is no file in {', '.join(str(scan) for scan in scans)}.",
            "Name the scans, or a folder that holds them.",
        )
    with kept_folder(out, MARKED) as folder, progress_bar("Marking") as progress:
        try:
            report = mark_batch(
                scans,
                layout,
                folder,
                print_scale=scale,
                progress=progress,
                leave=_own(layout, folder),
            )
        except KeyboardInterrupt:
            tell("Pages marked so far are kept: the same command goes on from there.")
            raise
    if verbose:
        tell(_effort(len(report.pages), monotonic() - began, report.peak_bytes))
    marks = read_marks(folder)
    print_marks(marks)
    for name in MARKED:
        if (folder / name).exists():
            click.echo(str(folder / name))
    unread = any(page["status"] == "unread" for page in marks["pages"])
    ctx.exit(SOME_UNREAD if unread else DONE)


def _own(layout: Path, out: Path) -> list[Path]:
    """What printing wrote beside the layout and marking into ``out``, now or earlier: nobody means
    these where they lie in the folder of scans."""
    from millimark.cli.keeping import MARKED, PRINTED

    marked = [place / name for place in (out, *out.glob("earlier-*")) for name in MARKED]
    return [*marked, *(layout.parent / name for name in PRINTED)]


def _effort(pages: int, seconds: float, peak: int) -> str:
    """What a batch took; the memory is left out where the system does not say it."""
    told = f"{pages} page{'' if pages == 1 else 's'} in {seconds:.1f} s"
    return told + (f"; the largest worker had {peak / 1e6:.0f} MB in memory." if peak else ".")
