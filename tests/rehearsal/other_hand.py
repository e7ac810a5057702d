"""A second simulator, of another make: what a checker outside the project would draw.

It reads layout.json and question-paper.pdf and nothing else of the project. Lines are plain
anti-aliased grey of constant width from OpenCV's own routines, shading is a flat tone or
ruled hatching, the 'scanner' turns, blurs, adds noise and writes a JPEG. So marking cannot
be right merely because it knows how ``millimark.rehearsal`` draws.
"""

from __future__ import annotations

import io
import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image

Xy = NDArray[np.float64]
Places = Mapping[str, Sequence[float]]

PAPER = """\
title: Another hand
page: A4
tolerance: {length: 2 mm, angle: 2 deg}
questions:
  - given: [A and B are 7 cm apart.]
    ask: [Draw the locus of points that are the same distance from A as from B.]
  - given: [C and D are 5 cm apart.]
    ask: [Draw the locus of points that are 3.5 cm from C.]
  - given: [E and F are 6 cm apart.]
    ask: [Draw the locus of points that are 2 cm from the line segment EF.]
  - given: [Angle GHK is 60°.]
    ask: [Draw the locus of points that are the same distance from HG as from HK.]
  - given: ["Triangle PQR has PQ = 9 cm, QR = 7 cm and PR = 8 cm."]
    ask: [Shade the region inside triangle PQR that is nearer to PQ than to PR and less than \
6 cm from Q.]
"""


@dataclass
class Drawing:
    """What goes on one question, page mm: dark lines, pale lines, and areas with their tone
    (0 black, 255 white) or, where ``hatched``, ruled lines."""

    answer: list[Xy] = field(default_factory=list)
    arcs: list[Xy] = field(default_factory=list)
    areas: list[Xy] = field(default_factory=list)
    hatched: bool = True


def circle(centre: Xy, radius: float, start: float = 0.0, stop: float = 360.0) -> Xy:
    a = np.radians(np.linspace(start, stop, max(8, int(abs(stop - start)))))
    return centre + radius * np.column_stack((np.cos(a), np.sin(a)))


def short_arc(centre: Xy, through: Xy, half_mm: float = 7.0) -> Xy:
    """An arc about ``centre`` through a place, ``half_mm`` to each side."""
    radius = float(np.hypot(*(through - centre)))
    middle = math.degrees(math.atan2(*(through - centre)[::-1]))
    half = math.degrees(half_mm / radius)
    return circle(centre, radius, middle - half, middle + half)


def bisector(p: Places, per_cm: float, shift: float = 0.0, arcs: bool = True) -> Drawing:
    """Perpendicular bisector of AB, moved along AB by ``shift`` mm."""
    a, b = np.array(p["A"]), np.array(p["B"])
    u = (b - a) / np.hypot(*(b - a))
    n = np.array([-u[1], u[0]])
    middle = (a + b) / 2
    h = math.sqrt(0.45 * float((b - a) @ (b - a)))
    line = np.array([middle - n * (h + 6), middle + n * (h + 6)]) + shift * u
    ends = (middle - n * h, middle + n * h)
    struck = [short_arc(c, e) for c in (a, b) for e in ends] if arcs else []
    return Drawing([line], struck)


def ring(p: Places, per_cm: float, wrong: float = 0.0, stop: float = 360.0) -> Drawing:
    """Circle about C of 3.5 cm, ``wrong`` mm too large, as far round as ``stop`` degrees."""
    return Drawing([circle(np.array(p["C"]), 3.5 * per_cm + wrong, 0.0, stop)])


def stadium(p: Places, per_cm: float, squared: bool = False) -> Drawing:
    """2 cm round EF, with round or squared ends."""
    e, f = np.array(p["E"]), np.array(p["F"])
    u = (f - e) / np.hypot(*(f - e))
    n = np.array([-u[1], u[0]])
    d = 2 * per_cm
    at = math.degrees(math.atan2(u[1], u[0]))
    if squared:
        box = np.array([e - d * u - d * n, f + d * u - d * n, f + d * u + d * n, e - d * u + d * n])
        return Drawing([np.vstack((box, box[:1]))])
    sides = [np.array([e + s * d * n, f + s * d * n]) for s in (1, -1)]
    return Drawing([*sides, circle(f, d, at - 90, at + 90), circle(e, d, at + 90, at + 270)])


def wedge(p: Places, per_cm: float, turned: float = 0.0, arcs: bool = True) -> Drawing:
    """Bisector of angle GHK, turned by so many degrees about H."""
    return Drawing(*_bisected(p, ("H", "G", "K"), 95.0, turned, arcs))


def _bisected(
    p: Places, labels: tuple[str, str, str], length: float, turned: float, arcs: bool
) -> tuple[list[Xy], list[Xy]]:
    vertex, one, two = (np.array(p[name]) for name in labels)
    u, v = ((q - vertex) / np.hypot(*(q - vertex)) for q in (one, two))
    w = (u + v) / np.hypot(*(u + v))
    reach = 35.0
    cuts = [vertex + reach * u, vertex + reach * v]
    half = math.acos(float(u @ w))
    tip = vertex + w * (
        reach * math.cos(half) + math.sqrt(reach**2 - (reach * math.sin(half)) ** 2)
    )
    struck = [short_arc(vertex, c) for c in cuts] + [short_arc(c, tip) for c in cuts]
    a = math.radians(turned)
    w = np.array([w[0] * math.cos(a) - w[1] * math.sin(a), w[0] * math.sin(a) + w[1] * math.cos(a)])
    return [np.array([vertex, vertex + length * w])], struck if arcs else []


def region(
    p: Places, per_cm: float, wrong_radius: float = 0.0, wrong_side: bool = False,
    hatched: bool = True, shaded: bool = True,
) -> Drawing:  # fmt: skip
    """Nearer to PQ than PR, within 6 cm of Q, inside PQR; or the other side of the bisector."""
    lines, struck = _bisected(p, ("P", "Q", "R"), 88.0, 0.0, True)
    q = np.array(p["Q"])
    radius = 6 * per_cm + wrong_radius
    to_p, to_r = (math.atan2(*(np.array(p[k]) - q)[::-1]) for k in "PR")
    sweep = (to_r - to_p + math.pi) % (2 * math.pi) - math.pi
    arc = circle(q, radius, math.degrees(to_p) - 6, math.degrees(to_p + sweep) + 6)
    if sweep < 0:
        arc = circle(q, radius, math.degrees(to_p) + 6, math.degrees(to_p + sweep) - 6)
    area = _wedge_area(p, radius, wrong_side)
    return Drawing([*lines, arc], struck, [area] if shaded else [], hatched)


def _wedge_area(p: Places, radius: float, other_side: bool) -> Xy:
    """Outline of the part of the triangle within ``radius`` of Q on one side of P's
    bisector, by clipping a fine grid's hull of rays from Q."""
    corner = {k: np.array(p[k]) for k in "PQR"}
    to_q, to_r = ((corner[k] - corner["P"]) / np.hypot(*(corner[k] - corner["P"])) for k in "QR")
    w = to_q + to_r

    def inside(xy: Xy) -> NDArray[np.bool_]:
        ok = np.hypot(*(xy - corner["Q"]).T) < radius
        names = "PQR"
        turn = np.sign(_cross(corner["Q"] - corner["P"], corner["R"] - corner["P"]))
        for k in range(3):
            a, b = corner[names[k]], corner[names[(k + 1) % 3]]
            ok &= turn * _cross(b - a, xy - a) > 0
        side = turn * _cross(w, xy - corner["P"]) > 0
        return ok & (side if other_side else ~side)

    low = np.min(list(corner.values()), axis=0)
    high = np.max(list(corner.values()), axis=0)
    xs, ys = (np.arange(low[i], high[i], 0.25) for i in (0, 1))
    x, y = np.meshgrid(xs, ys)
    mask = inside(np.column_stack((x.ravel(), y.ravel()))).reshape(x.shape).astype(np.uint8)
    outlines, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max(outlines, key=cv2.contourArea).reshape(-1, 2)
    return low + outline * 0.25


def _cross(a: Xy, b: Xy) -> NDArray[np.float64]:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


@dataclass(frozen=True)
class Case:
    """One answer: how it is drawn and what it deserves, mark by mark (True: awarded)."""

    question: str
    name: str
    draw: Callable[[Places, float], Drawing]
    marks: tuple[bool, ...]


CASES: tuple[Case, ...] = (
    Case("1", "right", bisector, (True, True)),
    Case("1", "no arcs", lambda p, k: bisector(p, k, arcs=False), (False, True)),
    Case("1", "5 mm off", lambda p, k: bisector(p, k, shift=5.0), (True, False)),
    Case("2", "right", ring, (True, True)),
    Case("2", "5 mm too large", lambda p, k: ring(p, k, wrong=5.0), (False, False)),
    Case("2", "half of it", lambda p, k: ring(p, k, stop=180.0), (True, False)),
    Case("3", "right", stadium, (True, True)),
    Case("3", "squared ends", lambda p, k: stadium(p, k, squared=True), (True, False)),
    Case("4", "right", wedge, (True, True)),
    Case("4", "no arcs", lambda p, k: wedge(p, k, arcs=False), (False, False)),
    Case("4", "turned by 6 degrees", lambda p, k: wedge(p, k, turned=6.0), (True, False)),
    Case("5", "right, hatched", region, (True, True, True)),
    Case("5", "right, toned", lambda p, k: region(p, k, hatched=False), (True, True, True)),
    Case("5", "wrong side", lambda p, k: region(p, k, wrong_side=True), (True, True, False)),
    Case("5", "not shaded", lambda p, k: region(p, k, shaded=False), (True, True, False)),
    Case("5", "radius 6 mm wrong", lambda p, k: region(p, k, wrong_radius=-6.0),
         (True, False, True)),
)  # fmt: skip


@dataclass(frozen=True)
class Scanner:
    """Resolution, print scale, turn in degrees, noise and JPEG quality. ``photo``: a picture
    from one side on a dark table, dimmer to one corner, with no resolution stated."""

    dpi: int = 300
    print_scale: float = 1.0
    turn: float = 0.7
    noise: float = 4.0
    quality: int = 85
    line_mm: float = 0.5
    answer_grey: int = 90
    arc_grey: int = 140
    photo: bool = False


def draw_sheets(
    layout: Path, pdf: Path, out: Path, chosen: Sequence[Mapping[str, Case]], scanner: Scanner
) -> list[Path]:
    """Draw sheet i with the cases ``chosen[i]`` (by question) and write a JPEG a page."""
    sheets = json.loads(layout.read_text(encoding="utf-8"))["sheets"]
    out.mkdir(parents=True, exist_ok=True)
    written = []
    document = pypdfium2.PdfDocument(pdf)
    for i, cases in enumerate(chosen):
        for page in sheets[i]["pages"]:
            image = _printed(document[page["pdf_page"] - 1], page, scanner)
            for question in page["questions"]:
                case = cases.get(question["question"])
                if case is not None:
                    per_cm = question["mm_per_cm"] / scanner.print_scale
                    _put(image, case.draw(question["points"], per_cm), scanner)
            written.append(out / f"sheet{i + 1}-page{page['page']}.jpg")
            written[-1].write_bytes(_scan(image, scanner, seed=100 * i + page["page"]))
    document.close()
    return written


def _per_mm(scanner: Scanner) -> float:
    return scanner.dpi / 25.4 * scanner.print_scale


def _printed(
    page: pypdfium2.PdfPage, size: Mapping[str, float], scanner: Scanner
) -> NDArray[np.uint8]:
    """The printed page at twice the scanner's resolution, print scale included."""
    fine = 2 * _per_mm(scanner)
    picture = page.render(scale=fine * 25.4 / 72).to_numpy()
    grey = cv2.cvtColor(picture[..., :3], cv2.COLOR_BGR2GRAY)
    width, height = round(size["width_mm"] * fine), round(size["height_mm"] * fine)
    return cv2.resize(grey, (width, height), interpolation=cv2.INTER_AREA)


def _put(image: NDArray[np.uint8], drawing: Drawing, scanner: Scanner) -> None:
    fine = 2 * _per_mm(scanner)
    thick = max(1, round(scanner.line_mm * 2 * scanner.dpi / 25.4))
    for area in drawing.areas:
        _shade(image, area, drawing.hatched, scanner)
    for grey, lines in ((scanner.arc_grey, drawing.arcs), (scanner.answer_grey, drawing.answer)):
        layer = np.full_like(image, 255)
        for xy in lines:
            pixels = np.round((xy * fine - 0.5) * 16).astype(np.int32)
            cv2.polylines(layer, [pixels], False, grey, thick, cv2.LINE_AA, shift=4)
        np.minimum(image, layer, out=image)


def _shade(image: NDArray[np.uint8], area: Xy, hatched: bool, scanner: Scanner) -> None:
    fine = 2 * _per_mm(scanner)
    mask = np.zeros_like(image)
    cv2.fillPoly(mask, [np.round(area * fine).astype(np.int32)], 255)
    layer = np.full_like(image, 255)
    if not hatched:
        layer[mask > 0] = 205
    else:
        step = round(3.0 * fine)
        for k in range(-image.shape[0], image.shape[1], step):
            cv2.line(layer, (k, 0), (k + image.shape[0], image.shape[0]), 130, 8, cv2.LINE_AA)
        layer[mask == 0] = 255
    np.minimum(image, layer, out=image)


def _scan(image: NDArray[np.uint8], scanner: Scanner, seed: int) -> bytes:
    """Lay the print in the middle of an A4 sheet, turn it, and add what a scanner adds."""
    rng = np.random.default_rng(seed)
    width, height = round(210 * scanner.dpi / 25.4), round(297 * scanner.dpi / 25.4)
    centre = ((image.shape[1] - 1) / 2, (image.shape[0] - 1) / 2)
    map_ = cv2.getRotationMatrix2D(centre, scanner.turn, 0.5)
    map_[:, 2] += np.array([width / 2, height / 2]) - 0.5 - np.array(centre)
    soft = cv2.GaussianBlur(image, (0, 0), 1.2)
    page = cv2.warpAffine(soft, map_, (width, height), flags=cv2.INTER_LINEAR, borderValue=255)
    if scanner.photo:
        page = _photographed(page)
    noisy = np.clip(page * 0.95 + rng.normal(4, scanner.noise, page.shape), 0, 255)
    buffer = io.BytesIO()
    stated = {} if scanner.photo else {"dpi": (scanner.dpi, scanner.dpi)}
    Image.fromarray(noisy.astype(np.uint8)).save(buffer, "JPEG", quality=scanner.quality, **stated)
    return buffer.getvalue()


def _photographed(page: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Seen from one side (a plain homography), on a table, in light from one corner."""
    h, w = page.shape
    seen = np.array([[0.10, 0.06], [0.93, 0.09], [0.99, 0.95], [0.03, 0.92]]) * (w * 1.1, h * 1.1)
    corners = np.array([[0, 0], [w, 0], [w, h], [0, h]])
    map_ = cv2.getPerspectiveTransform(corners.astype(np.float32), seen.astype(np.float32))
    size = (round(w * 1.1), round(h * 1.1))
    view = cv2.warpPerspective(page, map_, size, flags=cv2.INTER_AREA, borderValue=80)
    light = np.linspace(1.0, 0.72, size[0])[None, :] * np.linspace(1.0, 0.85, size[1])[:, None]
    return view * light


def sheets_of_cases(cases: Sequence[Case] = CASES) -> list[dict[str, Case]]:
    """The cases laid on as few sheets as they need, one to a question."""
    sheets: list[dict[str, Case]] = []
    for case in cases:
        free = next((s for s in sheets if case.question not in s), None)
        if free is None:
            sheets.append(free := {})
        free[case.question] = case
    return sheets
