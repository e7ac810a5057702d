"""Reading a paper file: YAML, then words, then answers, then the marks.

Everything that is wrong is said before anything is printed, with file, line and column
where the file has them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from millimark.errors import SourceError
from millimark.paper.access import read_access
from millimark.paper.fields import Field, load, plain
from millimark.paper.formats import PAGE_NAMES, page_format
from millimark.paper.question import Paper, Tolerance
from millimark.paper.question_reading import QuestionSource, Setting, read_tolerance
from millimark.paper.units import length_cm
from millimark.sheet.layout import SheetMap
from millimark.working.instruments import Instruments

PROFILES = {
    "arcs required": True,
    "any method": False,
    # England: G2, 'standard ruler and compass constructions' (DfE 2013) [V2]
    "England": True,
    # Wales: any valid method, formal constructions are not assessed (WJEC 2024-25) [V]
    "Wales": False,
    # US: Common Core G-CO.D.12 'make formal geometric constructions' [V2]
    "US": True,
    # Ireland: numbered constructions (leaving certificate syllabus) [V2]
    "Ireland": True,
}
"""Profiles by name: whether construction arcs must show."""
PAPER_KEYS = ("title", "page", "profile", "instruments", "tolerance", "access", "seed", "questions")
RESERVED = ("class",)
MOST_QUESTIONS = 40

Choices = Mapping[str, Mapping[str, str]]
"""By question number: the value of each name, and 'turn' and 'mirror' where they vary. Under
`ACCESS`: how this sheet is set, where that is not as the paper says."""
ACCESS = "access"


def read_paper(path: Path) -> Paper:
    """The paper in a YAML file. PaperError points at what is wrong; SourceError if unreadable."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise SourceError(
            f"There is no paper file {path}.", "Check the name and the folder."
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise SourceError(
            f"The paper file {path} cannot be read: {why}.",
            "A paper is a text file in UTF-8 with the ending .yaml.",
        ) from error
    return PaperSource(load(text, str(path))).paper()


def paper_from_data(
    data: Mapping[str, Any], file: str | None = None, choices: Choices | None = None
) -> Paper:
    """The paper whose content is ``data``: what layout.json keeps, or a program made.

    ``choices`` are the values of one sheet; without them each question takes its first
    values that work.
    """
    return PaperSource(Field(data, "the paper", file)).paper(choices)


def paper_for_sheet(paper: Paper, sheet: SheetMap) -> Paper:
    """The paper as it stands on one sheet: itself, or with that sheet's own values."""
    if not sheet.choices:
        return paper
    return _with_choices(
        json.dumps(paper.data, sort_keys=True), json.dumps(sheet.choices, sort_keys=True)
    )


@lru_cache(maxsize=4096)
def _with_choices(data: str, choices: str) -> Paper:
    return _source(data).paper(json.loads(choices))


@lru_cache(maxsize=16)
def _source(data: str) -> PaperSource:
    return PaperSource(Field(json.loads(data), "the paper"))


class PaperSource:
    """A paper file's content, read question by question as often as values vary."""

    def __init__(self, whole: Field) -> None:
        fields = whole.fields((*PAPER_KEYS, *RESERVED))
        for key in RESERVED:
            if key in fields:
                raise fields[key].wrong(
                    f"{key!r} is not a key that a paper keeps.",
                    "Give the class list when printing: --class CLASS.csv.",
                )
        for key in ("title", "questions"):
            if key not in fields:
                raise whole.wrong(
                    f"The paper has no {key!r}.", "Every paper needs title and questions."
                )
        self.data: Mapping[str, Any] = plain(whole.value)
        self.title = fields["title"].text()
        self.page = fields["page"].one_of(PAGE_NAMES) if "page" in fields else "A4"
        self.seed = fields["seed"].number(0, 10**9) if "seed" in fields else 1
        self.access = read_access(fields.get("access"))
        self.profile = (
            fields["profile"].one_of(PROFILES) if "profile" in fields else "arcs required"
        )
        self.setting = Setting(
            page=page_format(self.page),
            instruments=replace(
                _instruments(fields.get("instruments")), left_handed=self.access.left_handed
            ),
            tolerance=read_tolerance(fields.get("tolerance"), Tolerance()),
            arcs_required=PROFILES[self.profile],
            seed=self.seed,
        )
        self.questions = _sources(fields["questions"], self.setting)
        self._set: dict[str, PaperSource] = {}

    def paper(self, choices: Choices | None = None) -> Paper:
        """The paper with these values; with each question's first that work without any."""
        chosen = choices or {}
        if ACCESS in chosen:
            rest = {number: values for number, values in chosen.items() if number != ACCESS}
            return replace(self._set_as(chosen[ACCESS]).paper(rest), data=self.data)
        return Paper(
            title=self.title,
            page=self.page,
            instruments=self.setting.instruments,
            arcs_required=self.setting.arcs_required,
            questions=tuple(
                q.question(chosen[q.number]) if q.number in chosen else q.first()
                for q in self.questions
            ),
            data=self.data,
            access=self.access,
            profile=self.profile,
        )

    def _set_as(self, access: Mapping[str, str]) -> PaperSource:
        """The same paper for other readers."""
        key = json.dumps(access, sort_keys=True)
        if key not in self._set:
            data = {**self.data, "access": dict(access)}
            self._set[key] = PaperSource(Field(data, "the paper"))
        return self._set[key]


def _sources(field: Field, setting: Setting) -> tuple[QuestionSource, ...]:
    if not isinstance(field.value, Sequence) or isinstance(field.value, str) or not field.value:
        raise field.wrong(
            "'questions' should be a list with at least one question.",
            "Each question starts with '- ' and has 'given' and 'ask'.",
        )
    entries = list(field.items())
    if len(entries) > MOST_QUESTIONS:
        raise field.wrong(
            f"There are {len(entries)} questions; a paper holds at most {MOST_QUESTIONS}.",
            "Split it into two papers.",
        )
    return tuple(QuestionSource(e, i, setting) for i, e in enumerate(entries, start=1))


def _instruments(field: Field | None) -> Instruments:
    usual = Instruments()
    if field is None:
        return usual
    fields = field.fields(("ruler", "compasses", "protractor"))
    return Instruments(
        ruler_cm=fields["ruler"].quantity(length_cm) if "ruler" in fields else usual.ruler_cm,
        compasses_cm=(
            fields["compasses"].quantity(length_cm) if "compasses" in fields else usual.compasses_cm
        ),
        compasses_min_cm=usual.compasses_min_cm,
        protractor=fields["protractor"].truth() if "protractor" in fields else usual.protractor,
    )
