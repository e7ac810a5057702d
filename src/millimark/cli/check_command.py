"""``millimark check``: what is understood, whether it fits, how fair it is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Iterator

    from millimark.cli.checking import Checked
    from millimark.paper.question import Paper

LABEL_WIDTH = 11
"""Columns before the text of each line."""


@click.command("check")
@click.argument("paper", type=click.Path(path_type=Path), metavar="PAPER.yaml")
@click.option("--json", "as_json", is_flag=True, help="Write the findings as JSON.")
def command(paper: Path, as_json: bool) -> None:
    """Say what was understood of each sentence, the answer, the fit, how fair it is.

    A sentence that is not understood, givens that contradict each other, an answer that
    the page or the instruments do not allow: exit code 2 and a message that points at it.
    A question on which a careful hand stays inside the tolerance less often than 95 times
    in 100 is called unfair; that is a warning, not an error.
    """
    from millimark.cli.checking import as_data, check_paper
    from millimark.cli.console import progress_bar, tell
    from millimark.paper.reading import read_paper

    read = read_paper(paper)
    checked: list[Checked] = []
    with progress_bar("Checking") as progress:
        for one in check_paper(read):
            checked.append(one)
            progress(len(checked), len(read.questions), f"question {one.question.number}")
    if as_json:
        import json

        click.echo(json.dumps(as_data(read, checked), indent=2, ensure_ascii=False))
    else:
        _print_tables(read, checked)
    for one in checked:
        if not one.fairness.fair:
            tell(f"Question {one.question.number} is hard to draw well: see 'Fair'.")


def _print_tables(paper: Paper, checked: list[Checked]) -> None:
    from shutil import get_terminal_size
    from textwrap import wrap

    from millimark.cli.console import PLAIN_WIDTH

    profile = "arcs required" if paper.arcs_required else "any method"
    total = sum(question.marks for question in paper.questions)
    click.echo(f"{paper.title}: {paper.page}, {profile}, {total} marks")
    width = get_terminal_size((PLAIN_WIDTH, 24)).columns - LABEL_WIDTH
    for one in checked:
        click.echo(f"\nQuestion {one.question.number}")
        for label, text in _rows(one):
            for i, line in enumerate(wrap(text, max(width, 30))):
                click.echo(f"{'  ' + label if i == 0 else '':<{LABEL_WIDTH}}{line}")


def percent(chance: float) -> str:
    """A chance in per cent; nothing that was sampled is called certain."""
    return "over 99.9 %" if chance > 0.9995 else f"{100 * chance:.1f} %"


def _odds(one: Checked) -> str:
    """How many hands pass, and what they have to keep to."""
    odds = one.fairness
    turned = sorted(set(one.question.angle_limits.values()))
    angles = "".join(f" and {limit:g}°" for limit in turned)
    return (
        f"{percent(odds.chance)} of {odds.hand} hands stay within {odds.tolerance_mm:g} mm{angles}"
    )


def _rows(one: Checked) -> Iterator[tuple[str, str]]:
    """Label and text of each line of a question's table."""
    from millimark.cli.answer_text import region_text, special_text
    from millimark.cli.checking import MOST_VARIANTS

    for label, sentences in (("Given", one.given), ("Ask", one.ask), ("Read as", one.notes)):
        for i, sentence in enumerate(sentences):
            yield (label if i == 0 else "", sentence)
    for answer in one.question.answers:
        yield "Answer", "; ".join(element.name for element in answer.elements) or "nothing to draw"
        if answer.region is not None:
            yield "", region_text(answer.region)
        if answer.special is not None:
            yield "", special_text(answer.special)
    if one.variants is not None:
        most = "at least " if one.variants == MOST_VARIANTS else ""
        yield "Varies", f"{most}{one.variants} sets of values work; above is the first"
    width, height = one.frame_mm
    yield "Fits", f"page {one.placed.page}, answer frame {width:.0f} by {height:.0f} mm"
    odds = one.fairness
    if odds.elements or not odds.not_judged:
        yield "Fair" if odds.fair else "Unfair", _odds(one)
    if odds.not_judged:
        label = "" if odds.elements else "Fair"
        yield label, f"not judged, plotted by points of choice: {'; '.join(odds.not_judged)}"
    for advice in odds.advice:
        yield "", advice
    for i, criterion in enumerate(one.question.scheme):
        yield ("Marks" if i == 0 else "", f"{criterion.code}  {criterion.text}")
