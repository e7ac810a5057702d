"""The grammar's files compiled to the table that is shipped.

``python -m millimark.words.building`` writes the table anew: Lark reads the grammar and
expands it. A test fails while ``table.json`` is older than the grammar. Reading a sentence
needs neither Lark nor the grammar's text.
"""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path
from typing import Any

PARTS = ("common.lark", "givens.lark", "asks.lark")
STARTS = ("given", "ask")
TABLE = "table.json"


def compiled() -> dict[str, Any]:
    """The table as plain data: terminals with their words, rules, start symbols."""
    from lark import Lark

    here = resources.files(__package__)
    text = "\n".join(here.joinpath(part).read_text(encoding="utf-8") for part in PARTS)
    lark = Lark(text, parser="earley", lexer="basic", start=list(STARTS), maybe_placeholders=False)
    words = {t.name: _words(t.pattern) for t in lark.terminals}
    used = dict.fromkeys(s.name for rule in lark.rules for s in rule.expansion if s.is_term)
    terminals = sorted(used)
    symbols = list(dict.fromkeys(rule.origin.name for rule in lark.rules))
    number = {name: i for i, name in enumerate(terminals + symbols)}
    return {
        "terminals": [[name, words.get(name, [])] for name in terminals],
        "symbols": symbols,
        "starts": {name: number[name] for name in STARTS},
        "rules": [_rule(rule, number) for rule in lark.rules],
    }


def _words(pattern: Any) -> list[str]:
    """The words that a terminal reads, as the grammar lists them."""
    if pattern is None:
        return []
    text = str(pattern.value)
    if pattern.type == "str":
        return [text]
    plain = text.replace("(?:", "").replace(")", "").replace("\\", "")
    return plain.split("|")


def _rule(rule: Any, number: dict[str, int]) -> list[Any]:
    """[origin, symbols, name, kept, inlined, single]: see ``earley.Rule``."""
    origin = str(rule.origin.name)
    return [
        number[origin],
        [number[s.name] for s in rule.expansion],
        str(rule.alias or origin),
        [int(not (s.is_term and s.filter_out)) for s in rule.expansion],
        int(origin.startswith("_")),
        int(bool(rule.options.expand1) and not rule.alias),
    ]


def main() -> None:
    """Write the table beside the grammar."""
    path = Path(str(resources.files(__package__).joinpath(TABLE)))
    text = json.dumps(compiled(), ensure_ascii=False, separators=(",", ":"))
    path.write_text(text.replace("],[", "],\n[") + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
