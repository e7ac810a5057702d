"""``millimark solve``: the exact answer to sentences, without a paper."""

from __future__ import annotations

import click

from millimark.errors import MillimarkError


@click.command("solve")
@click.argument("sentences", nargs=-1, required=True, metavar="SENTENCE...")
@click.option("--json", "as_json", is_flag=True, help="One line of JSON for each ask.")
def command(sentences: tuple[str, ...], as_json: bool) -> None:
    """Solve givens and asks: curves, region and area.

    Each SENTENCE is one argument in quotation marks, or several in one:

    millimark solve "A and B are 8 cm apart." "Draw the locus of points that are the same
    distance from A as from B."
    """
    from millimark.loci.solve import solve
    from millimark.words.reading import sort_sentences, understand

    given, ask = sort_sentences(sentences)
    understood = understand(given, ask)
    if not understood.asks:
        raise MillimarkError(
            "Nothing is asked: all of this is given.",
            "Add a sentence that begins with 'Draw' or 'Shade'.",
        )
    answers = [solve(understood.figure, one) for one in understood.asks]
    if as_json:
        import json

        from millimark.loci.portable import as_json as portable

        for answer in answers:
            click.echo(json.dumps(portable(answer), ensure_ascii=False))
        return
    from millimark.cli.answer_text import answer_lines

    for sentence in understood.canonical_given:
        click.echo(sentence)
    for sentence, answer in zip(understood.canonical_ask, answers, strict=True):
        click.echo(f"\n{sentence}")
        for line in answer_lines(answer, understood.scale):
            click.echo(f"  {line}")
    for note in understood.notes:
        click.echo(f"\nNote: {note}")
