"""The published JSON Schemas (draft 2020-12) of the files that the outside reads.

``schema("marks")`` of a name that is not published is a ``SourceError`` that lists the
names that are.
"""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from millimark.errors import SourceError


def names() -> tuple[str, ...]:
    """What is published, in alphabetical order."""
    here = resources.files(__name__)
    return tuple(
        sorted(entry.name[:-5] for entry in here.iterdir() if entry.name.endswith(".json"))
    )


def schema(name: str) -> dict[str, Any]:
    """The schema called ``name``, as plain data."""
    if name not in names():
        raise SourceError(
            f"There is no schema called '{name}'.",
            f"The published schemas are: {', '.join(names()) or 'none'}.",
        )
    text = resources.files(__name__).joinpath(f"{name}.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found
