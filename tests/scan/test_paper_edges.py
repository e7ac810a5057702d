"""The print scale of a photograph from the sheet's own edges, or none.

The sizes of sheets are those of ISO 216 (A4 210 x 297 mm); the easel's page is an A5 sheet,
which is told to the module here as the only size there is.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.scan import easel

from millimark.scan import paper_edges
from millimark.scan.locating import locate, print_scale
from millimark.scan.paper_edges import scale_from_edges

LAYOUT = easel.layout_of()


def smaller_print(share):
    """The page printed at ``share`` of its size on a whole sheet."""
    import cv2

    master = easel.blank()
    rows, columns = master.shape
    move = np.array([[share, 0, (1 - share) * columns / 2], [0, share, (1 - share) * rows / 2]])
    return cv2.warpAffine(master, move, (columns, rows), borderValue=1.0)


@pytest.fixture(autouse=True)
def a5(monkeypatch):
    monkeypatch.setattr(paper_edges, "SHEETS", ((easel.WIDTH, easel.HEIGHT),))


@pytest.mark.parametrize("share", [0.92, 0.97, 1.0])
def test_scale_is_what_the_sheet_measures(share):
    seen = easel.photograph(smaller_print(share), tilt_deg=(5.0, -3.0))
    fit = locate(seen.image.grey, LAYOUT).fit
    scale, source, sigma = print_scale(seen.image.grey, fit, seen.image.dpi, None)
    assert source == "paper"
    assert scale == pytest.approx(share, abs=2 * sigma)


def test_unknown_sheet_gives_no_scale(monkeypatch):
    monkeypatch.setattr(paper_edges, "SHEETS", ((100.0, 200.0),))
    seen = easel.photograph(easel.blank(), tilt_deg=(5.0, -3.0))
    fit = locate(seen.image.grey, LAYOUT).fit
    assert scale_from_edges(seen.image.grey, fit) is None


def test_edges_beyond_the_picture_give_no_scale():
    seen = easel.photograph(easel.blank(), tilt_deg=(5.0, -3.0))
    fit = locate(seen.image.grey, LAYOUT).fit
    x = fit.px(np.array([[0.0, 0.0], [0.0, easel.HEIGHT]]))[:, 0]
    white = seen.image.grey.copy()
    white[:, : int(x.max()) + 20] = 230
    assert scale_from_edges(white, fit) is None
