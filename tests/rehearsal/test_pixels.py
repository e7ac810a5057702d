"""The pencil is where the truth says: no raster routine may shift a line.

The centre of a rendered line is the darkness-weighted mean across it, averaged along it so
that the grain of the paper evens out.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from millimark.rehearsal.flatbed import Laid, scan
from millimark.rehearsal.graphite import draw
from millimark.rehearsal.pencil import PencilStroke

mm = 1.0
WHITE = 247
PX = 20.0
SIZE = (120.0, 120.0)


def white_page() -> NDArray[np.uint8]:
    return np.full((int(SIZE[1] * PX), int(SIZE[0] * PX)), WHITE, np.uint8)


def offsets(image: NDArray[np.uint8], at: NDArray[np.float64], normal: NDArray[np.float64],
            reach: float) -> NDArray[np.float64]:  # fmt: skip
    """Mean offset of the darkness from places (N, 2) along unit normals (N, 2), px."""
    from scipy.ndimage import map_coordinates

    t = np.arange(-reach, reach + 0.05, 0.1)
    xy = at[:, None, :] + t[None, :, None] * normal[:, None, :]
    ground = np.median(image)
    dark = ground - map_coordinates(image.astype(float), [xy[..., 1], xy[..., 0]], order=1)
    dark = np.where(dark > 12, dark, 0.0)  # above the scanner's noise
    return (dark * t).sum(axis=1) / np.maximum(dark.sum(axis=1), 1e-9)


@pytest.mark.parametrize("degrees", [0, 3, 17, 44, 45, 46, 71, 90, 133])
def test_a_line_is_not_shifted(degrees: float):
    a = math.radians(degrees)
    u = np.array([math.cos(a), math.sin(a)])
    middle = np.array([60.013, 59.987])
    page = white_page()
    stroke = PencilStroke(np.array([middle - 45 * u, middle + 45 * u]), "answer")
    draw(page, [stroke], 1.0, PX, np.random.default_rng(1))
    along = np.linspace(-40, 40, 1600)[:, None] * u
    off = offsets(page, (middle + along) * PX - 0.5, np.tile([-u[1], u[0]], (1600, 1)), 14)
    assert abs(off.mean()) / PX < 0.005 * mm


def test_a_circle_keeps_its_radius_and_centre():
    a = np.linspace(0, 2 * np.pi, 3000)
    xy = np.column_stack((60.02 + 38.37 * np.cos(a), 60.01 + 38.37 * np.sin(a)))
    page = white_page()
    draw(page, [PencilStroke(xy, "answer")], 1.0, PX, np.random.default_rng(2))
    out = np.column_stack((np.cos(a), np.sin(a)))
    off = offsets(page, xy * PX - 0.5, out, 14) / PX
    assert abs(off.mean()) < 0.005 * mm
    assert abs(2 * (off * out[:, 0]).mean()) < 0.005 * mm
    assert abs(2 * (off * out[:, 1]).mean()) < 0.005 * mm


def test_the_line_has_its_width_and_is_darker_inside():
    page = white_page()
    line = PencilStroke(np.array([[10.0, 60.0], [110.0, 60.0]]), "answer", width=0.5, darkness=0.6)
    draw(page, [line], 1.0, PX, np.random.default_rng(3))
    profile = WHITE - page[:, 400:2000].mean(axis=1)
    half = profile > profile.max() / 2
    assert 0.3 * mm < half.sum() / PX < 0.6 * mm
    assert 0.3 < profile.max() / WHITE < 0.62


def test_nothing_is_drawn_off_the_page_or_for_no_strokes():
    page = white_page()
    far = PencilStroke(np.array([[-50.0, -50.0], [-10.0, -60.0]]), "stray")
    draw(page, [far], 1.0, PX, np.random.default_rng(4))
    draw(page, [], 1.0, PX, np.random.default_rng(4))
    assert (page == WHITE).all()


LAID = Laid(1.3, (1.0004, 0.9997), (0.4, -0.6), (0.9, -0.5), 0.04, 1.0, 0.0, 250)


@pytest.mark.parametrize("upside_down", [False, True])
@pytest.mark.parametrize("scale", [0.94, 1.0, 1.05])
def test_the_scan_puts_the_line_where_its_map_says(scale: float, upside_down: bool):
    rng = np.random.default_rng(5)
    page = white_page()
    ends = np.array([[30.0, 42.0], [88.0, 66.0]])  # page mm
    draw(page, [PencilStroke(ends * scale, "answer")], scale, PX, rng)
    capture = scan(page, PX, SIZE, scale, LAID, 300, upside_down, rng)
    along = ends[0] + np.linspace(0.06, 0.94, 1200)[:, None] * (ends[1] - ends[0])
    at = np.column_stack((along, np.ones(len(along)))) @ capture.to_image.T
    u = (at[-1] - at[0])[:2] / np.hypot(*(at[-1] - at[0])[:2])
    off = offsets(capture.image, at[:, :2], np.tile([-u[1], u[0]], (1200, 1)), 7)
    assert abs(off.mean()) * 25.4 / 300 < 0.005 * mm
    # the pixels between the ends, over the stated resolution, are paper millimetres
    length = np.hypot(*(at[-1] - at[0])[:2]) * 25.4 / 300
    assert length == pytest.approx(0.88 * scale * np.hypot(*(ends[1] - ends[0])), rel=5e-4)
