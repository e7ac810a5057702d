"""The SVG canvas: what it writes, rendered by an independent path, lies where it should."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
import typst

from millimark.drawing.canvas import Lettering, Paint, Pen, Recording
from millimark.drawing.svg import SvgCanvas, path_data
from millimark.plane.curves import Arc, Curve, Line, Ray, Segment
from millimark.plane.point import Point

BOX = (0.0, 0.0, 40.0, 30.0)
PX_PER_MM = 20.0
PEN = Pen(0.35, "#000000")


def rendered(canvas: SvgCanvas) -> np.ndarray:
    """The canvas as a (600, 800) array of darkness 0..1, through a PDF and its rasteriser."""
    page = '#set page(width: 40mm, height: 30mm, margin: 0mm)\n#image("a.svg", width: 40mm)'
    pdf = typst.compile({"main.typ": page.encode(), "a.svg": canvas.svg().encode()}, format="pdf")
    picture = pdfium.PdfDocument(pdf)[0].render(scale=800 / (40 / 25.4 * 72), grayscale=True)
    return 1 - picture.to_numpy()[:600, :800].reshape(600, 800) / 255


def darkness_at(picture: np.ndarray, x: float, y: float) -> float:
    return float(picture[int(y * PX_PER_MM), int(x * PX_PER_MM)])


CURVES: dict[str, Curve] = {
    "segment": Segment(Point(3.0, 4.0), Point(35.0, 22.0)),
    "short arc": Arc(Point(20.0, 15.0), 9.0, 0.3, 1.1),
    "arc the other way": Arc(Point(20.0, 15.0), 9.0, 0.3, -1.1),
    "more than half a turn": Arc(Point(20.0, 15.0), 11.0, 2.0, 4.5),
    "circle": Arc(Point(20.0, 15.0), 12.0),
    "circle the other way": Arc(Point(20.0, 15.0), 12.0, 1.0, -2 * math.pi),
}


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES)
def test_ink_lies_on_the_curve_and_nowhere_else(curve: Curve) -> None:
    canvas = SvgCanvas(BOX)
    canvas.stroke([curve], PEN)
    picture = rendered(canvas)
    for k in range(41):
        p = curve.point_at(curve.t0 + (curve.t1 - curve.t0) * (0.01 + 0.98 * k / 40))
        assert darkness_at(picture, p.x, p.y) > 0.9
    for i, j in zip(*np.nonzero(picture > 0.5), strict=True):
        p = Point((j + 0.5) / PX_PER_MM, (i + 0.5) / PX_PER_MM)
        assert curve.distance_to(p) < 0.35 / 2 + 0.06


def test_a_fill_with_a_hole_is_even_odd() -> None:
    canvas = SvgCanvas(BOX)
    centre = Point(20.0, 15.0)
    canvas.fill([[Arc(centre, 10.0)], [Arc(centre, 4.0)]], Paint("#000000"))
    picture = rendered(canvas)
    assert picture.sum() / PX_PER_MM**2 == pytest.approx(math.pi * (100 - 16), rel=2e-3)
    assert darkness_at(picture, 20, 15) == 0


def test_hatching_leaves_most_of_the_area_white() -> None:
    canvas = SvgCanvas(BOX)
    canvas.fill([[Arc(Point(20.0, 15.0), 10.0)]], Paint("#000000", hatch_mm=2.0))
    share = rendered(canvas).sum() / PX_PER_MM**2 / (math.pi * 100)
    assert share == pytest.approx(0.1, abs=0.03)


def test_a_page_box_keeps_page_coordinates() -> None:
    canvas = SvgCanvas((100.0, 50.0, 140.0, 80.0))
    canvas.stroke([Segment(Point(103.0, 54.0), Point(135.0, 72.0))], PEN)
    assert darkness_at(rendered(canvas), 19.0, 13.0) > 0.9


@pytest.mark.parametrize("curve", [Line(Point(0, 0), Point(1, 0)), Ray(Point(0, 0), Point(1, 0))])
def test_a_curve_without_ends_is_not_drawn(curve: Curve) -> None:
    with pytest.raises(ValueError, match="clip it before drawing"):
        path_data([curve])


def test_curves_that_meet_make_one_path() -> None:
    a, b, c = Point(0, 0), Point(4, 0), Point(4, 3)
    assert path_data([Segment(a, b), Segment(b, c)]) == "M0 0L4 0L4 3"
    assert path_data([Segment(a, b), Segment(c, a)]) == "M0 0L4 0M4 3L0 0"


def test_text_is_escaped_and_anchored() -> None:
    canvas = SvgCanvas(BOX)
    canvas.write(
        "P < Q & R", Point(5.0, 6.0), Lettering(3.5, "#102030", anchor="middle", bold=True)
    )
    text = ElementTree.fromstring(canvas.svg())[0]
    assert text.text == "P < Q & R"
    assert text.get("text-anchor") == "middle"
    assert float(text.get("font-size", "0")) == pytest.approx(3.5 / 0.713, abs=1e-4)


def test_a_recording_remembers_in_order() -> None:
    recording = Recording()
    segment = Segment(Point(0, 0), Point(1, 0))
    recording.stroke([segment], PEN)
    recording.write("A", Point(0, 0), Lettering(3.5, "#000000"))
    assert recording.strokes == [((segment,), PEN)]
    assert [t[0] for t in recording.texts] == ["A"]


def test_fonts_travel_with_the_package() -> None:
    import millimark

    fonts = Path(millimark.__file__).parent / "fonts"
    assert {p.stem for p in fonts.glob("*.ttf")} >= {"Andika-Regular", "Andika-Bold"}
    assert (fonts / "OFL.txt").is_file()
