"""``millimark demo``: the whole cycle on an invented class."""

from __future__ import annotations

from pathlib import Path

import click

SEED = 20
"""Which class turns up. Chosen for a mixture of good and faulty work."""


@click.command("demo")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("millimark-demo"),
    show_default=True,
    metavar="DIR",
    help="Folder for everything that the demo makes.",
)
def command(out: Path) -> None:
    """Print a paper, let twelve invented pupils draw it, mark their scans.

    Then says where the files lie. The class and the island it draws are invented.
    """
    from millimark import demo
    from millimark.cli.class_list import read_class
    from millimark.cli.console import progress_bar
    from millimark.cli.keeping import MARKED, REHEARSED, kept_folder
    from millimark.cli.marks_table import print_marks, read_marks
    from millimark.marking.batch import mark_batch
    from millimark.paper.reading import read_paper
    from millimark.rehearsal.rehearse import rehearse

    with kept_folder(out, ("paper.yaml", "class.csv", *REHEARSED, *MARKED)) as folder:
        for name in ("paper.yaml", "class.csv"):
            (folder / name).write_text(demo.text(name), encoding="utf-8")
        paper = read_paper(folder / "paper.yaml")
        names = read_class(folder / "class.csv")
        with progress_bar("The class draws and is scanned") as progress:
            rehearse(paper, len(names), SEED, folder, names=names, progress=progress)
        with progress_bar("Marking") as progress:
            mark_batch([folder / "scans"], folder / "layout.json", folder, progress=progress)
    click.echo(f"{paper.title}: {len(names)} pupils, {len(paper.questions)} questions")
    print_marks(read_marks(folder))
    for name, what in FILES.items():
        if (folder / name).exists():
            click.echo(f"{folder / name!s:<40} {what}")


FILES = {
    "paper.yaml": "the paper as its teacher wrote it",
    "question-paper.pdf": "a sheet for each pupil, true to scale",
    "model-answers.pdf": "the answers with their construction arcs",
    "overlays.pdf": "tolerance bands for a transparency",
    "mark-scheme.pdf": "what each mark is given for",
    "step-booklet.pdf": "the constructions step by step",
    "register.pdf": "who has which sheet",
    "layout.json": "where everything stands on the pages",
    "scans": "what the invented pupils drew, scanned",
    "truth.json": "what they really drew (marking never reads it)",
    "marks.json": "every mark with its reason and its measurements",
    "marks.csv": "the marks for a spreadsheet",
    "marks.xlsx": "the same as a workbook",
    "annotated.pdf": "the scripts with what was measured drawn over them",
    "feedback.pdf": "a sheet for each pupil: their drawing, their marks, what to practise",
    "for-teacher.pdf": "the marks that are too close to call",
    "class-sheet.pdf": "marks by question, commonest faults, what to practise",
}
