"""The guide to paper files: every example is read, every key is written about."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from millimark.paper.fields import load
from millimark.paper.question_reading import QUESTION_KEYS
from millimark.paper.reading import PAPER_KEYS, PROFILES, PaperSource

ROOT = Path(__file__).parents[2]
GUIDE = (ROOT / "docs" / "paper-files.md").read_text("utf-8")
EXAMPLES = re.findall(r"```yaml\n(.*?)```", GUIDE, flags=re.DOTALL)
SCHEMA = json.loads((ROOT / "src/millimark/schemas/paper.json").read_text("utf-8"))


@pytest.mark.parametrize("text", EXAMPLES)
def test_every_example_is_read_and_valid_by_the_schema(text: str) -> None:
    assert PaperSource(load(text, None)).paper().questions
    found = Draft202012Validator(SCHEMA).iter_errors(YAML(typ="safe").load(text))
    assert [e.message for e in found] == []


@pytest.mark.parametrize("key", [*PAPER_KEYS, *QUESTION_KEYS, *PROFILES])
def test_every_key_and_profile_is_written_about(key: str) -> None:
    assert f"`{key}`" in GUIDE


def test_the_schema_knows_the_keys_that_the_reader_knows() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert set(SCHEMA["properties"]) == set(PAPER_KEYS)
    assert set(SCHEMA["$defs"]["question"]["properties"]) == set(QUESTION_KEYS)
    assert set(SCHEMA["properties"]["profile"]["enum"]) == set(PROFILES)
