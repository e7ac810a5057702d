"""The README's pictures, made by the tool itself from the demo (`make pictures`); those of the
desk need Debian's chromium."""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

import pypdfium2
from desk_pictures import SCENES, photograph
from PIL import Image, ImageColor

from millimark.cli.door import run
from millimark.drawing import look

PX_PER_MM = 4.0
SHADES = 16
SCREEN_COLOURS = 64


def telling_sheet(made: Path) -> int:
    """Index of the first script whose first page shows a mark given, one withheld for a line
    that strays, and its likely cause."""
    marks = json.loads((made / "marks.json").read_text(encoding="utf-8"))
    for index, script in enumerate(marks["scripts"]):
        questions = script["questions"][:2]
        decisions = {mark["decision"] for q in questions for mark in q["marks"]}
        strays = any(
            "strays" in mark["reason"] and q["faults"] for q in questions for mark in q["marks"]
        )
        if {"awarded", "withheld"} <= decisions and strays:
            return index
    return 0


def picture(pdf: Path, page: int) -> Image.Image:
    """A page in colour with a thin grey edge, in few colours so that the file is small."""
    with pypdfium2.PdfDocument(pdf) as document:
        drawn = document[page - 1].render(scale=PX_PER_MM * 25.4 / 72).to_pil().convert("RGB")
    framed = Image.new("RGB", (drawn.width + 2, drawn.height + 2), "#8a95a3")
    framed.paste(drawn, (1, 1))
    return framed.quantize(palette=few_colours(), dither=Image.Dither.NONE)


def few_colours() -> Image.Image:
    """Greys, and the look's colours from full to pale: few, but none of them lost."""
    colours = [(level, level, level) for level in range(0, 256, 5)]
    for name in (look.PLUM, look.MOSS, look.RUST, look.STEEL, look.INK):
        full = ImageColor.getrgb(name)
        for k in range(SHADES):
            colours.append(tuple(round(c + (245 - c) * k / SHADES) for c in full[:3]))
    palette = Image.new("P", (1, 1))
    palette.putpalette([channel for colour in colours for channel in colour])
    return palette


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        made = Path(place) / "demo"
        if run(["demo", "--out", str(made)]) != 0:
            raise SystemExit("the demo did not run")
        layout = json.loads((made / "layout.json").read_text(encoding="utf-8"))
        page = telling_sheet(made) * len(layout["sheets"][0]["pages"]) + 1
        for name, pdf in (("question-page", "question-paper"), ("marked-script", "annotated")):
            drawn = picture(made / f"{pdf}.pdf", page)
            drawn.save(folder / f"{name}.png", optimize=True)
    photograph(folder)
    for name in SCENES:
        file = folder / f"{name}.png"
        with Image.open(file) as taken:
            small = taken.convert("RGB").quantize(SCREEN_COLOURS, dither=Image.Dither.NONE)
        small.save(file, optimize=True)


if __name__ == "__main__":
    main()
