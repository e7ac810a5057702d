"""What each part of the page map and of the pencil measurement is worth: docs/measurement.md.

    python tools/ablate_scan.py [PUPILS]

Rehearses the demo's paper on three devices and measures, against the rehearsal's truth, the
error of the page map inside the answer frames with parts of it left out; then lines drawn
analytically (tests/scan/easel.py) with parts of the measurement left out. Takes minutes.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.scan import easel  # noqa: E402

import millimark.demo  # noqa: E402
from millimark.paper.reading import read_paper  # noqa: E402
from millimark.rehearsal.rehearse import rehearse  # noqa: E402
from millimark.scan import frames, models, strokes  # noqa: E402
from millimark.scan.fitting import LineFit, fit_line  # noqa: E402
from millimark.scan.locating import locate, mark_pairs, measured_dots  # noqa: E402
from millimark.scan.mapping import PageFit, Pairs, fit_page  # noqa: E402
from millimark.scan.markers import find_marks  # noqa: E402
from millimark.scan.models import Flat, Setting  # noqa: E402
from millimark.scan.page import PICTURE_PER_MM  # noqa: E402
from millimark.scan.scanner_light import scanner_light  # noqa: E402
from millimark.scan.sources import PageImage, pages_of  # noqa: E402
from millimark.sheet.layout import PageMap, read_layout  # noqa: E402

DEVICES = ("flatbed", "feeder", "phone")
SEED = 4711


def flat_only(setting: Setting, pairs: Pairs) -> PageFit:
    """A homography through the pairs and nothing else."""
    start = models.flat_start(setting, pairs.xy, pairs.px)
    family = Flat(setting, "homography")
    model = models.fit(family, start, pairs.xy, pairs.px, pairs.sigma)
    return PageFit(model, None, pairs, 0.0, 1.0)


def maps(image: PageImage, page: PageMap, full: PageFit) -> dict[str, PageFit | None]:
    """The page map with parts left out."""
    grey = image.grey
    setting = Setting(page.width_mm, page.height_mm, grey.shape[1], grey.shape[0])
    marks = mark_pairs(find_marks(grey), page.marks)
    outer = np.abs(marks.xy - [page.width_mm / 2, page.height_mm / 2])
    corners = marks.only((outer > outer.max(axis=0) - 9.0).all(axis=1))
    first = fit_page(setting, marks) or full
    boxes = [q.frame_mm for q in page.questions]
    border = [d for d in page.dots if not any(_inside(d.x, d.y, b) for b in boxes)]
    with_border = marks.and_(measured_dots(grey, first, border))
    return {
        "four corner marks, homography": flat_only(setting, corners),
        "twelve marks, homography": flat_only(setting, marks),
        "marks and all dots, homography": flat_only(setting, full.pairs),
        "chosen model, marks only": first,
        "chosen model, marks and border dots": fit_page(setting, with_border, warm=first),
        "all, without the smooth part": fit_page(setting, full.pairs, smooth=False),
        "all": full,
    }


def _inside(x: float, y: float, box: tuple[float, float, float, float]) -> bool:
    return box[0] < x < box[2] and box[1] < y < box[3]


def true_px(scan: dict, there: np.ndarray) -> np.ndarray:
    """Image px of page points by the rehearsal's truth; ``there`` are its own nodes."""
    matrix = np.array(scan["to_image"])
    h = np.column_stack((there, np.ones(len(there)))) @ matrix.T
    return h[:, :2] / h[:, 2:]


def nodes(scan: dict, page: PageMap) -> tuple[np.ndarray, np.ndarray]:
    """Page points inside the frames and where they truly are in the image."""
    if scan.get("grid"):
        grid = np.array(scan["grid"])
        there, px = grid[:, :2], grid[:, 2:]
    else:
        gx, gy = np.meshgrid(np.arange(5.0, page.width_mm, 10), np.arange(5.0, page.height_mm, 10))
        there = np.column_stack((gx.ravel(), gy.ravel()))
        px = true_px(scan, there)
    boxes = [q.frame_mm for q in page.questions]
    inside = np.array([any(_inside(x, y, b) for b in boxes) for x, y in there])
    return there[inside], px[inside]


def map_errors(pupils: int) -> None:
    """Print the table of map errors, mm."""
    paper = read_paper(Path(millimark.demo.__file__).parent / "paper.yaml")
    for device in DEVICES:
        errors: dict[str, list[float]] = {}
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder)
            rehearse(paper, pupils, SEED, out, capture=device)
            layout = read_layout(out / "layout.json")
            truth = {s["file"]: s for s in json.loads((out / "truth.json").read_text())["scans"]}
            for image in pages_of([out / "scans"]):
                if not isinstance(image, PageImage):
                    continue
                located = locate(image.grey, layout)
                if isinstance(located, str):
                    continue
                there, px = nodes(truth[image.source.name], located.page)
                for name, fit in maps(image, located.page, located.fit).items():
                    if fit is not None:
                        off = (fit.px(there) - px) / located.fit.px_per_mm
                        errors.setdefault(name, []).append(float(np.sqrt((off**2).sum(1).mean())))
        print(f"\n{device}: {len(errors['all'])} pages; mean and worst rms error in the frames, mm")
        for name, values in errors.items():
            print(f"  {name:40s} {np.mean(values):.3f} {np.max(values):.3f}")


def offset(drawing: Callable[[np.ndarray], None], a: tuple, b: tuple) -> float:
    """Offset (mm) of the measured line a b from where it was drawn."""
    master = easel.blank().copy()
    easel.straight(master, easel.MASTER, a, b, 0.5, 0.6, grain=easel.tooth(5), soft=0.1)
    drawing(master)
    image = easel.scan(master).image
    fit = locate(image.grey, easel.layout_of()).fit
    window = frames.straightened(image.grey, fit, easel.FRAME, frames.PX_PER_MM)
    unseen = frames.hidden_by_print(easel.known(frames.PX_PER_MM), window, 0.0)
    if not MASKING:
        unseen[:] = False
    page = easel.layout_of().sheets[0].pages[0]
    whole = (0.0, 0.0, page.width_mm, page.height_mm)
    picture = frames.straightened(image.grey, fit, whole, PICTURE_PER_MM).picture
    known = easel.known(frames.PX_PER_MM)
    light = scanner_light(picture, known, [easel.FRAME], whole)
    paper, _ = light.over(easel.FRAME, frames.PX_PER_MM, window.picture.shape)
    pencil = frames.pencil_darkness(window, unseen, paper)
    d = np.subtract(b, a) / np.hypot(*np.subtract(b, a))
    found = strokes.strokes_in(window, pencil, unseen)
    near = [s for s in found if np.median(np.abs((s.xy - a) @ [-d[1], d[0]])) < 0.6]
    line = fit_line(np.vstack([s.xy for s in near]), robust=False)
    if not isinstance(line, LineFit):
        return float("nan")
    middle = (np.array(a) + b) / 2
    return abs(float((middle - line.point) @ [-line.direction.y, line.direction.x]))


MASKING = True


def line_errors() -> None:
    """Print the table of line offsets, mm."""
    global MASKING
    a, b = (30.0, 84.0), (110.0, 116.0)  # through the printed points A and B
    scenes: dict[str, Callable[[np.ndarray], None]] = {
        "alone": lambda m: None,
        "a smudge beside it": lambda m: easel.straight(
            m, easel.MASTER, (31.0, 86.0), (110.0, 117.6), 3.0, 0.12, soft=1.0
        ),
        "another line 1.1 mm beside it": lambda m: easel.straight(
            m, easel.MASTER, (30.4, 83.0), (110.4, 115.0), 0.4, 0.5, soft=0.1
        ),
    }
    profiles = strokes.measured

    def ridge_only(*args: object, **kwargs: object) -> object:
        found = profiles(*args, **kwargs)
        return replace(found, shift=np.zeros_like(found.shift), whole=np.ones_like(found.whole))

    print("\nline offset, mm:           as it is   ridge points only   print not masked")
    for name, drawing in scenes.items():
        MASKING = True
        whole = offset(drawing, a, b)
        strokes.measured = ridge_only
        ridge = offset(drawing, a, b)
        strokes.measured, MASKING = profiles, False
        unmasked = offset(drawing, a, b)
        print(f"  {name:30s} {whole:.3f}      {ridge:.3f}               {unmasked:.3f}")


if __name__ == "__main__":
    line_errors()
    map_errors(int(sys.argv[1]) if len(sys.argv) > 1 else 6)
