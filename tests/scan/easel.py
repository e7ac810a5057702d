"""Pages and pencil drawn for the scan tests, independent of the typesetter and the rehearsal.

Marks come from OpenCV's own ArUco generator and codes from segno, so what is read is checked
against outside encoders. Everything is drawn analytically on a master at `MASTER` px per mm
(grey 0 to 1, pixel centres half a pixel inside) and then 'scanned'.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
import segno

from millimark.scan.reading import Source
from millimark.scan.sources import PageImage
from millimark.sheet.border import border_dots, border_marks
from millimark.sheet.code import encode
from millimark.sheet.layout import (
    CodeBox,
    Dot,
    Layout,
    PageMap,
    QuestionPlace,
    SheetMap,
)

MASTER = 12.0
WIDTH, HEIGHT = 148.0, 210.0  # A5 keeps the tests quick
FRAME = (20.0, 40.0, 128.0, 150.0)
PAPER_ID = "7K2QXW"


def page_map(sheet="S0001", number=1):
    boxes = ((113.0, 6.2, 129.0, 22.2), (19.0, 188.0, 35.0, 204.0))
    inside = [Dot(x, y, 0.45) for x in (35.0, 74.0, 113.0) for y in (60.0, 95.0, 130.0)]
    border = [
        d
        for d in border_dots(WIDTH, HEIGHT)
        if not any(b[0] - 1 < d.x < b[2] + 1 and b[1] - 1 < d.y < b[3] + 1 for b in boxes)
    ]
    place = QuestionPlace(
        "1", FRAME, 10.0, {"A": (45.0, 90.0), "B": (95.0, 110.0)}, (45.0, 90.0), 0.0, False
    )
    text = encode(PAPER_ID, sheet, number)
    return PageMap(
        page=number,
        pdf_page=number,
        width_mm=WIDTH,
        height_mm=HEIGHT,
        questions=(place,),
        marks=border_marks(WIDTH, HEIGHT),
        dots=(*border, *inside),
        codes=tuple(CodeBox(text, box) for box in boxes),
    )


def layout_of(*pages):
    pages = pages or (page_map(),)
    return Layout({}, PAPER_ID, (SheetMap("S0001", None, tuple(pages)),))


def a4_page_of_two():
    """An A4 page with two answer frames, for the benchmark."""
    boxes = ((175.0, 6.2, 191.0, 22.2), (19.0, 275.0, 35.0, 291.0))
    frames = ((17.0, 45.0, 193.0, 145.0), (17.0, 165.0, 193.0, 265.0))
    places = tuple(
        QuestionPlace(str(k + 1), frame, 10.0, {"A": (70.0, frame[1] + 50)}, (70.0, 90.0))
        for k, frame in enumerate(frames)
    )
    border = [
        d
        for d in border_dots(210.0, 297.0)
        if not any(b[0] - 1 < d.x < b[2] + 1 and b[1] - 1 < d.y < b[3] + 1 for b in boxes)
    ]
    inside = [
        Dot(x, y, 0.45) for x in (30.0, 65.0, 105.0, 150.0, 180.0) for y in (60.0, 130.0, 180.0)
    ]
    text = encode(PAPER_ID, "S0001", 1)
    codes = tuple(CodeBox(text, box) for box in boxes)
    marks = border_marks(210.0, 297.0)
    return PageMap(1, 1, 210.0, 297.0, places, marks, (*border, *inside), codes)


def grid(per_mm, size=(WIDTH, HEIGHT)):
    columns, rows = (math.ceil(v * per_mm) for v in size)
    return np.ones((rows, columns), dtype=np.float32)


def _shade(paper, per_mm, box, coverage, ink=1.0):
    """Darken ``paper`` inside the page box (mm) by ink times coverage(x, y) of its pixels."""
    x0, y0, x1, y1 = box
    i0, j0 = max(0, int(x0 * per_mm)), max(0, int(y0 * per_mm))
    i1 = min(paper.shape[1], math.ceil(x1 * per_mm) + 1)
    j1 = min(paper.shape[0], math.ceil(y1 * per_mm) + 1)
    if i1 <= i0 or j1 <= j0:
        return
    x = (np.arange(i0, i1) + 0.5) / per_mm
    y = (np.arange(j0, j1) + 0.5) / per_mm
    gx, gy = np.meshgrid(x, y)
    paper[j0:j1, i0:i1] *= (1.0 - ink * coverage(gx, gy)).astype(np.float32)


def _edge(inside_mm, per_mm):
    """Coverage of a pixel whose centre lies ``inside_mm`` inside an edge."""
    return np.clip(inside_mm * per_mm + 0.5, 0.0, 1.0)


def printed(page, per_mm):
    """The page as printed, (H, W) uint8: what ``read_page`` asks for."""
    paper = grid(per_mm, (page.width_mm, page.height_mm))
    for mark in page.marks:
        pattern = cv2.aruco.generateImageMarker(
            cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), mark.id, 6
        )
        _pattern(paper, per_mm, pattern < 128, mark.x - 4, mark.y - 4, mark.side / 6)
    for code in page.codes:
        symbol = segno.make(code.text, error="q", version=2, boost_error=False, micro=False)
        cells = np.array([list(row) for row in symbol.matrix], dtype=bool)
        quiet = 4 * (code.box[2] - code.box[0]) / 33
        module = (code.box[2] - code.box[0]) / 33
        _pattern(paper, per_mm, cells, code.box[0] + quiet, code.box[1] + quiet, module)
    for dot in page.dots:
        disc(paper, per_mm, (dot.x, dot.y), dot.diameter / 2, 0.3)
    for place in page.questions:
        x0, y0, x1, y1 = place.frame_mm
        for a, b in (
            ((x0, y0), (x1, y0)),
            ((x1, y0), (x1, y1)),
            ((x1, y1), (x0, y1)),
            ((x0, y1), (x0, y0)),
        ):
            straight(paper, per_mm, a, b, 0.18, 0.45)
        for x, y in place.points.values():
            straight(paper, per_mm, (x - 1.5, y), (x + 1.5, y), 0.25, 0.9)
            straight(paper, per_mm, (x, y - 1.5), (x, y + 1.5), 0.25, 0.9)
    return np.rint(paper * 255).astype(np.uint8)


def _pattern(paper, per_mm, cells, left, top, cell):
    for j, row in enumerate(cells):
        for i, dark in enumerate(row):
            if dark:
                x0, y0 = left + i * cell, top + j * cell
                x1, y1 = x0 + cell, y0 + cell

                def coverage(x, y, x0=x0, x1=x1, y0=y0, y1=y1):
                    across = _edge(x - x0, per_mm) - _edge(x - x1, per_mm)
                    down = _edge(y - y0, per_mm) - _edge(y - y1, per_mm)
                    return across * down

                box = (x0 - 0.3, y0 - 0.3, x1 + 0.3, y1 + 0.3)
                i0, j0 = int(box[0] * per_mm), int(box[1] * per_mm)
                i1, j1 = math.ceil(box[2] * per_mm) + 1, math.ceil(box[3] * per_mm) + 1
                gx, gy = np.meshgrid(
                    (np.arange(i0, i1) + 0.5) / per_mm, (np.arange(j0, j1) + 0.5) / per_mm
                )
                paper[j0:j1, i0:i1] -= coverage(gx, gy).astype(np.float32)


def disc(paper, per_mm, centre, radius, ink):
    cx, cy = centre
    reach = radius + 0.3
    _shade(
        paper,
        per_mm,
        (cx - reach, cy - reach, cx + reach, cy + reach),
        lambda x, y: _edge(radius - np.hypot(x - cx, y - cy), per_mm),
        ink,
    )


def straight(paper, per_mm, a, b, width, ink, grain=None, soft=0.0):
    ax, ay = a
    bx, by = b
    length = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / length, (by - ay) / length
    reach = width + 0.3

    def coverage(x, y):
        s = np.clip((x - ax) * ux + (y - ay) * uy, 0.0, length)
        off = np.hypot(x - ax - s * ux, y - ay - s * uy)
        return _profile(off, width, per_mm, soft) * _grain(grain, x, y, per_mm)

    box = (min(ax, bx) - reach, min(ay, by) - reach, max(ax, bx) + reach, max(ay, by) + reach)
    _shade(paper, per_mm, box, coverage, ink)


def arc(
    paper, per_mm, centre, radius, width, ink, start=0.0, sweep=2 * math.pi, grain=None, soft=0.0
):
    cx, cy = centre
    reach = radius + width + 0.3

    def coverage(x, y):
        off = np.abs(np.hypot(x - cx, y - cy) - radius)
        turn = (np.arctan2(y - cy, x - cx) - start) % (2 * math.pi)
        on = turn <= sweep
        return _profile(off, width, per_mm, soft) * on * _grain(grain, x, y, per_mm)

    _shade(paper, per_mm, (cx - reach, cy - reach, cx + reach, cy + reach), coverage, ink)


def _profile(off, width, per_mm, soft):
    """Flat top with a soft edge ``soft`` mm wide (graphite thins out towards its edge)."""
    if soft <= 0.0:
        return _edge(width / 2 - off, per_mm)
    return np.clip((width / 2 - off) / soft + 0.5, 0.0, 1.0)


def _grain(grain, x, y, per_mm):
    if grain is None:
        return 1.0
    rows, columns = grain.shape
    j = np.clip((y * per_mm).astype(int), 0, rows - 1)
    i = np.clip((x * per_mm).astype(int), 0, columns - 1)
    return grain[j, i]


@cache
def tooth(seed, depth=0.35, shape=None):
    """Paper's tooth: how well each spot takes graphite, correlated over about 0.1 mm."""
    rng = np.random.default_rng(seed)
    rows, columns = shape or grid(MASTER).shape
    field = rng.normal(size=(rows, columns)).astype(np.float32)
    field = cv2.GaussianBlur(field, (0, 0), 0.09 * MASTER)
    field /= field.std()
    return np.clip(1.0 - depth + depth * field, 0.0, 1.0).astype(np.float32)


@dataclass(frozen=True)
class Seen:
    """A page image with the truth about how it was made: ``page_of`` maps pixels (N, 2) of the
    image to page mm."""

    image: PageImage
    page_of: Callable[[np.ndarray], np.ndarray]

    def map_error(self, fit, box=FRAME, step=10.0):
        """Errors (N, 2) mm of a fitted map on a grid over the box."""
        x0, y0, x1, y1 = box
        gx, gy = np.meshgrid(np.arange(x0 + 3, x1, step), np.arange(y0 + 3, y1, step))
        there = np.column_stack((gx.ravel(), gy.ravel()))
        return self.page_of(fit.px(there)) - there


def scan(
    master,
    dpi=300.0,
    turn_deg=0.0,
    noise=2.0,
    scale=(1.0, 1.0),
    seed=1,
    quality=None,
    blur_mm=0.05,
    feed=None,
    bilevel=False,
    stated=True,
    size=(WIDTH, HEIGHT),
    margin=3.0,
):
    """The master as a scanner of ``dpi`` sees it. ``scale`` is paper mm per page mm along x and
    y, ``size`` the page's; ``feed`` displaces paper mm (N, 2), as an uneven feed does."""
    per_mm = dpi / 25.4
    turn = math.radians(turn_deg)
    width, height = size
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]]) * scale
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    seen = corners @ rotation.T
    low = seen.min(axis=0) - margin
    columns, rows = np.ceil((seen.max(axis=0) + margin - low) * per_mm).astype(int)

    def page_of(px):
        paper = (px + 0.5) / per_mm + low
        if feed is not None:
            paper = feed(paper)
        return (paper @ rotation) / scale

    grey = _looked_up(master, page_of, rows, columns, blur_mm, per_mm)
    image = _exposed(grey, noise, seed)
    if bilevel:
        image = np.where(image > 165, 255, 0).astype(np.uint8)
    image = _jpeg(image, quality)
    dpis = (dpi, dpi) if stated else None
    return Seen(PageImage(Source("drawn.png", 1), image, dpis), page_of)


def photograph(
    master,
    tilt_deg=(0.0, 0.0),
    turn_deg=0.0,
    lens=0.0,
    curl_mm=0.0,
    curl_deg=0.0,
    wave_mm=0.0,
    shadow=0.0,
    rows=2400,
    columns=1800,
    noise=3.0,
    seed=1,
    quality=85,
    blur_mm=0.06,
):
    """The master as a phone's camera sees it: tilted, curled about the direction ``curl_deg`` by
    a circular arch ``curl_mm`` high, with a wave ``wave_mm`` high across its top that dies away
    downwards, through a lens with radial error ``lens`` at the corner, under a soft-edged shadow
    that takes ``shadow`` of the light."""
    half = math.hypot(WIDTH, HEIGHT) / 2
    span = math.hypot(columns, rows) / 2
    focal = 1.6 * span
    rotation = _turns(tilt_deg, turn_deg)
    place = np.array([0.0, 0.0, focal * half * 1.12 / span])
    bend = math.radians(curl_deg)
    way = np.array([math.cos(bend), math.sin(bend)])

    def px_of(page):
        c = page - [WIDTH / 2, HEIGHT / 2]
        s, q = c @ way, c @ [-way[1], way[0]]
        if curl_mm:
            radius = half**2 / (2 * curl_mm)
            run, height = radius * np.sin(s / radius), radius * (np.cos(s / radius) - 1)
        else:
            run, height = s, 0 * s
        lying = np.clip(c[:, 1] / HEIGHT + 0.5, 0.0, 1.0)
        height = height + wave_mm * np.sin(2.0 * math.pi * c[:, 0] / WIDTH) * (1.0 - lying)
        body = np.column_stack((run * way[0] - q * way[1], run * way[1] + q * way[0], height))
        seen = body @ rotation.T + place
        flat = seen[:, :2] / seen[:, 2:] * focal
        r2 = (flat**2).sum(axis=1, keepdims=True) / span**2
        return flat * (1 + lens * r2) + [(columns - 1) / 2, (rows - 1) / 2]

    page_of = _inverse(px_of, columns, rows)
    per_mm = span / (1.12 * half)
    grey = _looked_up(master, page_of, rows, columns, blur_mm, per_mm)
    if shadow:
        edge = (np.arange(columns)[None, :] - 0.45 * columns + 0.2 * np.arange(rows)[:, None]) / 60
        grey *= 1 - shadow / (1 + np.exp(-np.clip(edge, -30, 30)))
    image = _jpeg(_exposed(grey, noise, seed), quality)
    return Seen(PageImage(Source("photo.jpg", 1), image, (72.0, 72.0)), page_of)


def _turns(tilt_deg, turn_deg):
    ax, ay, az = np.radians([*tilt_deg, turn_deg])
    rx = np.array([[1, 0, 0], [0, math.cos(ax), -math.sin(ax)], [0, math.sin(ax), math.cos(ax)]])
    ry = np.array([[math.cos(ay), 0, math.sin(ay)], [0, 1, 0], [-math.sin(ay), 0, math.cos(ay)]])
    rz = np.array([[math.cos(az), -math.sin(az), 0], [math.sin(az), math.cos(az), 0], [0, 0, 1]])
    return rx @ ry @ rz


def _inverse(px_of, columns, rows):
    """Page mm of pixels by Newton's method on ``px_of``, from a fitted homography."""
    gx, gy = np.meshgrid(np.linspace(0, WIDTH, 15), np.linspace(0, HEIGHT, 20))
    page = np.column_stack((gx.ravel(), gy.ravel()))
    start = cv2.findHomography(px_of(page), page, 0)[0]

    def page_of(px):
        px = np.asarray(px, dtype=float)
        at = cv2.perspectiveTransform(px[None], start)[0]
        for _ in range(6):
            right, down = np.array([0.01, 0.0]), np.array([0.0, 0.01])
            dx = (px_of(at + right) - px_of(at - right)) / 0.02
            dy = (px_of(at + down) - px_of(at - down)) / 0.02
            jacobian = np.stack((dx, dy), axis=-1)
            off = px - px_of(at)
            at = at + np.clip(np.linalg.solve(jacobian, off[..., None])[..., 0], -20, 20)
        return at

    return page_of


def _looked_up(master, page_of, rows, columns, blur_mm, per_mm):
    """The blurred master at every pixel; beyond the page a grey table. The map is evaluated on
    a grid of every fourth pixel and interpolated."""
    gx, gy = np.meshgrid(np.arange(-4, columns + 8, 4), np.arange(-4, rows + 8, 4))
    nodes = page_of(np.column_stack((gx.ravel(), gy.ravel())).astype(float))
    at = (nodes * MASTER - 0.5).astype(np.float32).reshape(*gx.shape, 2)
    x, y = np.meshgrid(np.arange(columns, dtype=np.float32), np.arange(rows, dtype=np.float32))
    at = cv2.remap(at, (x + 4) / 4, (y + 4) / 4, cv2.INTER_LINEAR)
    soft = cv2.GaussianBlur(master, (0, 0), math.hypot(blur_mm * MASTER, 0.35 * MASTER / per_mm))
    return cv2.remap(soft, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderValue=0.55)


def _exposed(grey, noise, seed):
    rng = np.random.default_rng(seed)
    level = 255 * (0.06 + 0.89 * grey) + rng.normal(0, noise, grey.shape)
    return np.clip(np.rint(level), 0, 255).astype(np.uint8)


def _jpeg(image, quality):
    if quality is None:
        return image
    data = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)


@cache
def blank(sheet="S0001", number=1):
    """The printed page as a master, (H, W) float32; a copy is to be drawn on."""
    master = printed(page_map(sheet, number), MASTER).astype(np.float32) / 255
    master.setflags(write=False)
    return master


@cache
def known(per_mm):
    """What ``read_page`` is told was printed, drawn once."""
    return printed(page_map(), per_mm)
