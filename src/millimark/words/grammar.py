"""The grammar, built once when the first sentence is read."""

from __future__ import annotations

from functools import cache
from importlib import resources

from lark import Lark

from millimark.words.tokens import WordLexer

PARTS = ("common.lark", "givens.lark", "asks.lark")


@cache
def grammar() -> Lark:
    """The parser of both kinds of sentence; its start symbols are ``given`` and ``ask``.

    Earley, because a reader of English must look further ahead than one word to know
    what an "and" joins.
    """
    here = resources.files(__package__)
    text = "\n".join(here.joinpath(part).read_text(encoding="utf-8") for part in PARTS)
    return Lark(
        text, parser="earley", lexer=WordLexer, start=["given", "ask"], maybe_placeholders=False
    )
