"""annotated.pdf: first version, replaced below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from millimark.marking.findings import Script
from millimark.marking.page import MarkedPage
from millimark.paper.question import Paper
from millimark.sheet.layout import Layout


def write_annotated(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> None:
    path.write_bytes(b"")
