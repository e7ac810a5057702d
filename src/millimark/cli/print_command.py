"""``millimark print``: a paper as PDFs that are true to scale."""

from __future__ import annotations

from pathlib import Path

import click

from millimark.errors import MillimarkError

MOST_SHEETS = 2000


@click.command("print")
@click.argument("paper", type=click.Path(path_type=Path), metavar="PAPER.yaml")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    metavar="DIR",
    help="Folder for the files.",
)
@click.option(
    "--class",
    "class_list",
    type=click.Path(path_type=Path),
    metavar="CLASS.csv",
    help="One named sheet for each pupil; the list needs a column 'name'.",
)
@click.option("--sheets", type=int, metavar="N", help="N sheets without a name (1 if not given).")
def command(paper: Path, out: Path, class_list: Path | None, sheets: int | None) -> None:
    """Write question paper, model answers, overlays, mark scheme and layout.json.

    A step booklet and a register come with them. Print the question paper at 100 %
    ("actual size"), not "fit to page"; then measure the 100 mm check rule. Keep
    layout.json: marking needs it.
    """
    from millimark.cli.class_list import read_class
    from millimark.cli.console import progress_bar, tell
    from millimark.cli.keeping import PRINTED, kept_folder
    from millimark.paper.printing import print_paper
    from millimark.paper.reading import read_paper
    from millimark.paper.typeface import unshown

    pupils = _pupils(read_class(class_list) if class_list else None, sheets)
    read = read_paper(paper)
    with kept_folder(out, PRINTED) as folder, progress_bar("Printing") as progress:
        layout = print_paper(read, folder, pupils, progress=progress)
    pages = sum(len(sheet.pages) for sheet in layout.sheets)
    for name in PRINTED:
        click.echo(str(folder / name))
    for pupil, character in unshown(pupils).items():
        tell(
            f"The typeface has no shape for {character!r} in the name {pupil}: that sheet's name "
            "line is left for the pupil, beside the sheet's code."
        )
    tell(
        f"{len(layout.sheets)} sheets, {pages} pages. Print at 100 %, then measure the check rule."
    )


def _pupils(named: list[str] | None, sheets: int | None) -> list[str | None]:
    """One entry for each sheet: the pupil's name, or None for a sheet without a name."""
    if sheets is not None and not 1 <= sheets <= MOST_SHEETS:
        raise MillimarkError(
            f"--sheets {sheets}: the number of sheets runs from 1 to {MOST_SHEETS}."
        )
    if named is None:
        return [None] * (sheets or 1)
    spare = max(0, (sheets or 0) - len(named))
    return [*named, *[None] * spare]
