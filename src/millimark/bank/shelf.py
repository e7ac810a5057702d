"""The question bank: what it holds, what of it is wanted, and a paper made from that.

Questions are plain paper-file entries with a few words about them; they are read by the
same reader as any paper. Codes name curricula: G2, G5, G15, R2 are those of England's GCSE
content (DfE 2013), G-CO and G-C those of the US Common Core.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from io import StringIO
from typing import Any

from ruamel.yaml import YAML

from millimark.errors import PaperError

LEVELS = (1, 2, 3, 4, 5)
ABOUT = ("id", "topic", "level", "setting", "codes")


@dataclass(frozen=True)
class BankQuestion:
    """One question of the bank. ``level`` 1 (first practice) to 5 (stretch); ``content`` is
    what stands under 'questions' in a paper file."""

    id: str
    topic: str
    level: int
    setting: str
    codes: tuple[str, ...]
    content: Mapping[str, Any]

    @property
    def varies(self) -> bool:
        """Whether sheets may differ in this question."""
        return "choose" in self.content or "free" in (
            self.content.get("turn"),
            self.content.get("mirror"),
        )

    @property
    def asks(self) -> str:
        """What is to be drawn, as one line."""
        return " ".join(self.content["ask"])


@cache
def bank() -> tuple[BankQuestion, ...]:
    """All questions: by file, then in the order of the file."""
    folder = resources.files("millimark.bank") / "questions"
    names = sorted(f.name for f in folder.iterdir() if f.name.endswith(".yaml"))
    found: list[BankQuestion] = []
    for name in names:
        entries = YAML(typ="safe").load((folder / name).read_text("utf-8"))
        found += [_question(entry) for entry in entries]
    return tuple(found)


def _question(entry: Mapping[str, Any]) -> BankQuestion:
    return BankQuestion(
        id=entry["id"],
        topic=entry["topic"],
        level=entry["level"],
        setting=entry["setting"],
        codes=tuple(entry["codes"]),
        content={k: v for k, v in entry.items() if k not in ABOUT},
    )


def chosen(
    topic: str | None = None,
    level: int | None = None,
    setting: str | None = None,
    code: str | None = None,
    varies: bool | None = None,
) -> tuple[BankQuestion, ...]:
    """The questions that meet every condition given; words match as parts, in any case."""

    def meets(q: BankQuestion) -> bool:
        return (
            (topic is None or topic.lower() in q.topic.lower())
            and (level is None or q.level == level)
            and (setting is None or setting.lower() in q.setting.lower())
            and (code is None or code.upper() in q.codes)
            and (varies is None or q.varies == varies)
        )

    return tuple(q for q in bank() if meets(q))


def by_id(ids: Iterable[str]) -> tuple[BankQuestion, ...]:
    """The questions with these ids, in this order. PaperError names one that is not there."""
    known = {q.id: q for q in bank()}
    found = []
    for id_ in ids:
        if id_ not in known:
            from difflib import get_close_matches

            near = get_close_matches(id_, known, n=1)
            raise PaperError(
                f"The bank has no question {id_!r}.",
                f"Did you mean {near[0]!r}?" if near else "`millimark bank` lists them all.",
            )
        found.append(known[id_])
    return tuple(found)


def paper_file(title: str, questions: Sequence[BankQuestion], page: str = "A4") -> str:
    """A paper file of these questions as YAML text, to be kept and changed by hand."""
    if not questions:
        raise PaperError("No question of the bank was chosen.", "Ask for fewer conditions.")
    yaml = YAML()
    yaml.width = 88
    yaml.indent(mapping=2, sequence=4, offset=2)
    data = {
        "title": title,
        "page": page,
        "questions": [dict(q.content) for q in questions],
    }
    text = StringIO()
    yaml.dump(data, text)
    return text.getvalue()
