"""``millimark bank``: list the question bank, filter it, build a paper from it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from millimark.errors import SourceError

if TYPE_CHECKING:
    from millimark.bank.shelf import BankQuestion


@click.command("bank")
@click.option("--topic", metavar="WORDS", help="Only topics with these words: 'region'.")
@click.option("--level", type=click.IntRange(1, 5), help="Only this level, 1 (first) to 5.")
@click.option("--setting", metavar="WORDS", help="Only settings with these words: 'harbour'.")
@click.option("--code", metavar="CODE", help="Only this curriculum code: G2, G-CO.D.12.")
@click.option("--varies/--fixed", default=None, help="Only questions that vary by sheet, or not.")
@click.option("--pick", multiple=True, metavar="ID", help="This question (may be repeated).")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="PAPER.yaml",
    help="Write a paper file of what was chosen.",
)
@click.option("--title", default="From the bank", show_default=True, help="Title of that paper.")
@click.option("--page", default="A4", show_default=True, help="Page of that paper.")
@click.option("--json", "as_json", is_flag=True, help="The list as JSON.")
def command(
    topic: str | None,
    level: int | None,
    setting: str | None,
    code: str | None,
    varies: bool | None,
    pick: tuple[str, ...],
    out: Path | None,
    title: str,
    page: str,
    as_json: bool,
) -> None:
    """List the bank of invented questions, or build a paper from it.

    Every question solves, fits A4 and is fair to a careful hand. A paper that was built
    is an ordinary paper file: change it, check it, print it.
    """
    from millimark.bank.shelf import by_id, chosen, paper_file

    found = by_id(pick) if pick else chosen(topic, level, setting, code, varies)
    if not found:
        raise SourceError(
            "No question of the bank is like that.",
            "'millimark bank' lists all of them with their topics, levels, settings and codes.",
        )
    if out is not None:
        text = paper_file(title, found, page)
        if out.exists():
            raise SourceError(f"'{out}' exists already.", "Give --out another name.")
        try:
            out.write_text(text, encoding="utf-8")
        except OSError as error:
            raise SourceError(f"'{out}' cannot be written: {error.strerror}.") from error
        click.echo(str(out))
    elif as_json:
        click.echo(json.dumps([_line(q) for q in found], ensure_ascii=False, indent=1))
    else:
        _table(found)


def _line(question: BankQuestion) -> dict[str, object]:
    return {
        "id": question.id,
        "topic": question.topic,
        "level": question.level,
        "setting": question.setting,
        "codes": list(question.codes),
        "varies": question.varies,
        "ask": question.asks,
    }


def _table(found: tuple[BankQuestion, ...]) -> None:
    from millimark.cli.console import new_table, results

    table = new_table("id", "level", "topic", "setting", "codes", "ask", right=(1,))
    for q in found:
        mark = " *" if q.varies else ""
        table.add_row(f"{q.id}{mark}", str(q.level), q.topic, q.setting, " ".join(q.codes), q.asks)
    console = results()
    console.print(table)
    console.print(f"{len(found)} questions; * varies from sheet to sheet.")
