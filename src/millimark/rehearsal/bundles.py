"""Scans as a copier's feeder leaves them: stacks of pages in a file, backs and all, any order."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from millimark.rehearsal.files import pdf_of
from millimark.rehearsal.hostile_files import blank_sheet

Line = dict[str, Any]

_ALONE = 0.35
"""Share of the pages that stay in a file of their own."""
_MOST = 12
"""Pages, backs not counted, in one stack at most."""
_BACKS = 0.3
"""Chance that a stack was scanned on both sides."""
_BACK_DPI = 150.0


def bundle(lines: Sequence[Line], scans: Path, rng: np.random.Generator) -> list[Line]:
    """Join pages into PDFs (JPEGs) and TIFFs (bilevel ones), and note in ``lines`` where each now
    lies; the places of the empty backs come back."""
    backs: list[Line] = []
    for suffix, stem in ((".jpg", "stack"), (".tif", "fax")):
        loose = [line for line in lines if line["file"].endswith(suffix)]
        rng.shuffle(loose)
        loose = loose[round(_ALONE * len(loose)) :]
        for number in range(1, len(loose) + 1):
            if not loose:
                break
            count = int(rng.integers(2, _MOST + 1))
            stack, loose = loose[:count], loose[count:]
            if suffix == ".jpg":
                into = scans / f"{stem}-{number:02d}.pdf"
                backs += _pdf(stack, scans, into, bool(rng.random() < _BACKS), rng)
            else:
                _tiff(stack, scans, scans / f"{stem}-{number:02d}.tif")
    return backs


def _pdf(
    stack: Sequence[Line], scans: Path, into: Path, both_sides: bool, rng: np.random.Generator
) -> list[Line]:
    """A PDF of the pages, each with its empty back if both sides were scanned; the backs."""
    jpegs, dpi, backs = [], [], []
    for line in stack:
        part = scans / line["file"]
        jpegs.append(part.read_bytes())
        dpi.append(line["dpi"] or 72.0)
        part.unlink()
        line["file"], line["source_page"] = into.name, len(jpegs)
        if both_sides:
            jpegs.append(blank_sheet(rng))
            dpi.append(_BACK_DPI)
            backs.append({"file": into.name, "source_page": len(jpegs)})
    into.write_bytes(pdf_of(jpegs, dpi))
    return backs


def _tiff(stack: Sequence[Line], scans: Path, into: Path) -> None:
    """A TIFF of the pages, each with its own resolution and packing."""
    from PIL import Image, TiffImagePlugin

    parts = [scans / line["file"] for line in stack]
    with TiffImagePlugin.AppendingTiffWriter(str(into), True) as joined:
        for part in parts:
            with Image.open(part) as page:
                how = "group4" if page.mode == "1" else "tiff_adobe_deflate"
                page.save(joined, "TIFF", compression=how, dpi=page.info["dpi"])
            joined.newFrame()
    for page_number, (line, part) in enumerate(zip(stack, parts, strict=True), start=1):
        part.unlink()
        line["file"], line["source_page"] = into.name, page_number
