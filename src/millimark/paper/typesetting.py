"""Typst: one compiler, files held in memory, output that depends on its input alone."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import typst

PDF_STANDARD = "ua-1"
_FONTS = "fonts"


def typeset(
    template: str,
    data: Mapping[str, Any],
    files: Mapping[str, str],
    room: str = "millimark.paper",
) -> bytes:
    """The PDF of a template of ours with its data and pictures (SVG text by file name).

    The template stands in ``room``'s folder ``templates``. Files are text: a photograph
    goes inside an SVG as a data address.
    """
    compiler: Any = _compiler()
    pdf: bytes = compiler.compile(
        _inputs(template, data, files, room),
        format="pdf",
        pdf_standards=[PDF_STANDARD],
        timestamp=0,
    )
    return pdf


def measured(template: str, data: Mapping[str, Any], label: str) -> Any:
    """What the template leaves under ``label`` as metadata: lengths that only text knows."""
    inputs: Any = _inputs(template, data, {})
    found = typst.query(
        inputs,
        f"<{label}>",
        field="value",
        one=True,
        font_paths=[str(_fonts())],
        ignore_system_fonts=True,
    )
    return json.loads(found)


def _inputs(
    template: str,
    data: Mapping[str, Any],
    files: Mapping[str, str],
    room: str = "millimark.paper",
) -> dict[str, bytes]:
    inputs = {name: text.encode() for name, text in files.items()}
    inputs["data.json"] = json.dumps(data, ensure_ascii=False).encode()
    inputs["main.typ"] = _template(room, template).encode()
    return inputs


@cache
def _compiler() -> typst.Compiler:
    return typst.Compiler(font_paths=[str(_fonts())], ignore_system_fonts=True)


@cache
def _template(room: str, name: str) -> str:
    folder = resources.files(room) / "templates"
    return (folder / f"{name}.typ").read_text("utf-8")


@cache
def _fonts() -> Path:
    return Path(str(resources.files("millimark") / _FONTS))
