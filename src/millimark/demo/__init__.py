"""The demo's paper and class: an invented island, an invented class."""

from __future__ import annotations

from importlib import resources


def text(name: str) -> str:
    """The text of ``paper.yaml`` or ``class.csv`` as they travel with the package."""
    return resources.files(__name__).joinpath(name).read_text(encoding="utf-8")
