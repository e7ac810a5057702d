"""What every page carries round its questions: marks, dots, page codes and check rule."""

from __future__ import annotations

from collections.abc import Iterable

from millimark.drawing.canvas import Canvas, Lettering, Paint, Pen
from millimark.drawing.look import FINE, INK, PALE, RULE, SLATE, SMALL, THIN
from millimark.drawing.outline import box_outline, draw_true
from millimark.drawing.svg import SvgCanvas
from millimark.paper.formats import CODE_QUIET, Box, PageFormat
from millimark.plane.curves import Arc, Curve, Segment
from millimark.plane.point import Point
from millimark.sheet.border import border_dots, border_marks, mark_squares
from millimark.sheet.layout import CodeBox, Dot, RegistrationMark

MASK = 2  # of the QR symbol; trying all eight for each page costs more than the rest of it
BORDER_DOT_COLOUR = RULE
FRAME_DOT_COLOUR = PALE
FRAME_DOT_DIAMETER = 0.45  # mm: seen by a scanner at 200 dpi, hardly by a pupil


def page_marks(format_: PageFormat) -> tuple[RegistrationMark, ...]:
    """The registration marks of a page of this format."""
    return border_marks(format_.width, format_.height)


def page_dots(format_: PageFormat) -> tuple[Dot, ...]:
    """The border dots that neither a page code nor the check rule is near."""
    keep_out = [*format_.code_boxes]
    return tuple(
        d
        for d in border_dots(format_.width, format_.height)
        if not any(_inside(d.x, d.y, box, margin=0.5) for box in keep_out)
    )


def page_codes(format_: PageFormat, text: str) -> tuple[CodeBox, ...]:
    """The two boxes of a page's code."""
    return tuple(CodeBox(text, box) for box in format_.code_boxes)


def draw_border(
    canvas: SvgCanvas, marks: Iterable[RegistrationMark], dots: Iterable[Dot], format_: PageFormat
) -> None:
    """Draw what every page of a paper has alike: marks, border dots, check rule and square."""
    canvas.fill_boxes([square for mark in marks for square in mark_squares(mark)], "#000000")
    draw_dots(canvas, dots, BORDER_DOT_COLOUR)
    draw_check_rule(canvas, format_.check_rule)
    canvas.fill(box_outline(format_.check_square, FINE), Paint(INK))


def draw_dots(canvas: Canvas, dots: Iterable[Dot], colour: str) -> None:
    """Draw registration dots."""
    canvas.fill([_disc(d) for d in dots], Paint(colour))


def draw_code(canvas: SvgCanvas, code: CodeBox) -> None:
    """A QR symbol, version 2, level Q, inside its box."""
    import segno

    symbol = segno.make(code.text, error="q", version=2, boost_error=False, micro=False, mask=MASK)
    rows = [bytes(row) for row in symbol.matrix]
    x0, y0 = code.box[0] + CODE_QUIET, code.box[1] + CODE_QUIET
    module = (code.box[2] - code.box[0] - 2 * CODE_QUIET) / len(rows)
    boxes = [
        (x0 + first * module, y0 + j * module, x0 + last * module, y0 + (j + 1) * module)
        for j, row in enumerate(rows)
        for first, last in _dark_runs(row)
    ]
    canvas.fill_boxes(boxes, "#000000")


def draw_check_rule(canvas: Canvas, rule: Box) -> None:
    """A line with a tick every 5 mm, longer every 10 mm; the end ticks stand 100 mm apart."""
    x0, y, x1, _ = rule
    n = round((x1 - x0) / 5)
    ticks = []
    for k in range(n + 1):
        x = x0 + (x1 - x0) * k / n
        tall = 3.2 if k in (0, n) else 2.4 if k % 2 == 0 else 1.4
        ticks.append(Segment(Point(x, y), Point(x, y - tall)))
    draw_true(canvas, [Segment(Point(x0, y), Point(x1, y))], Pen(THIN, INK))
    draw_true(canvas, ticks, Pen(FINE, INK))
    for text, x in (("0", x0), ("100 mm", x1)):
        canvas.write(text, Point(x, y + SMALL + 1.0), Lettering(SMALL, SLATE, anchor="middle"))


def rectangle(x0: float, y0: float, x1: float, y1: float) -> list[Curve]:
    """The four sides of a box as a closed loop."""
    corners = [Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)]
    return [Segment(corners[i], corners[(i + 1) % 4]) for i in range(4)]


def _disc(dot: Dot) -> list[Curve]:
    return [Arc(Point(dot.x, dot.y), dot.diameter / 2)]


def _inside(x: float, y: float, box: Box, margin: float) -> bool:
    x0, y0, x1, y1 = box
    return x0 - margin < x < x1 + margin and y0 - margin < y < y1 + margin


def _dark_runs(row: bytes) -> list[tuple[int, int]]:
    """Half-open ranges of the dark modules of a row."""
    runs, first = [], None
    for i, module in enumerate([*row, 0]):
        if module and first is None:
            first = i
        elif not module and first is not None:
            runs.append((first, i))
            first = None
    return runs
