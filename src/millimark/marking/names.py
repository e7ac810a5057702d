"""names.pdf: the name lines of sheets that carry no printed name, for the teacher to match.

The strip between the middle of the page and the code at its top is where a pupil writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from millimark.drawing import look
from millimark.marking.findings import Script
from millimark.marking.page import MarkedPage
from millimark.marking.pictures import framed
from millimark.paper.question import Paper
from millimark.paper.typesetting import typeset
from millimark.sheet.layout import Layout, PageMap

_TOP_MM, _BOTTOM_MM = 6.5, 19.0


def write_names(
    paper: Paper,
    scripts: Sequence[Script],
    kept: Mapping[tuple[str, int], MarkedPage],
    layout: Layout,
    path: Path,
) -> bool:
    """Write a strip for every unnamed sheet; False, and no file, if all have names."""
    rows: list[dict[str, str]] = []
    files: dict[str, str] = {}
    pages = {(s.sheet, p.page): p for s in layout.sheets for p in s.pages}
    for script in (s for s in scripts if not s.pupil):
        found = sorted(k for k in kept if k[0] == script.sheet)
        if not found:
            continue
        name = f"{script.sheet}.svg"
        files[name] = _strip(kept[found[0]], pages[found[0]])
        rows.append(
            {"sheet": script.sheet, "picture": name, "total": f"{script.total} of {script.out_of}"}
        )
    if not rows:
        return False
    data = {
        "title": f"{paper.title}: sheets without a name",
        "plum": look.PLUM,
        "rule": look.RULE,
        "rows": rows,
    }
    path.write_bytes(typeset("names", data, files, "millimark.marking"))
    return True


def _strip(marked: MarkedPage, page: PageMap) -> str:
    """The name line of a page as a picture, cut out of it."""
    x0, x1 = page.width_mm / 2 + 6.0, page.width_mm - 20.0
    if page.codes:
        x1 = min(code.box[0] for code in page.codes if code.box[1] < 30.0 or len(page.codes) == 1)
    return framed(marked, page, (x0, _TOP_MM, x1, _BOTTOM_MM), measured=False)
