"""One scanned A4 page of two questions, read, as a ratio to decoding its JPEG.

The page is drawn here (OpenCV's marks, segno's codes, two circles and two lines a question),
not rehearsed. Baseline: ``cv2.imdecode`` of the same bytes to grey, in the same run.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from tests.scan import easel

from millimark.scan.page import read_page
from millimark.scan.reading import PageReading, Source
from millimark.scan.sources import PageImage

GROUP = "scan"
A4 = (210.0, 297.0)


@pytest.fixture(scope="module")
def scanned() -> dict[str, Any]:
    page = easel.a4_page_of_two()
    master = easel.printed(page, easel.MASTER).astype(np.float32) / 255
    tooth = easel.tooth(4, shape=master.shape)
    for place in page.questions:
        x0, y0, x1, y1 = place.frame_mm
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        for dx in (-20.0, 20.0):
            centre = (middle[0] + dx, middle[1])
            easel.arc(master, easel.MASTER, centre, 35, 0.45, 0.6, grain=tooth, soft=0.1)
        for dy in (-30.0, 30.0):
            a, b = (x0 + 10, middle[1] - dy), (x1 - 10, middle[1] + dy)
            easel.straight(master, easel.MASTER, a, b, 0.45, 0.6, grain=tooth, soft=0.1)
    seen = easel.scan(master, turn_deg=0.6, size=A4, margin=0.0)
    data = cv2.imencode(".jpg", seen.image.grey, [cv2.IMWRITE_JPEG_QUALITY, 85])[1].tobytes()
    return {"data": data, "layout": easel.layout_of(page), "page": page}


def test_read_a_page(benchmark: Any, scanned: dict[str, Any]) -> None:
    known = easel.printed(scanned["page"], 8.0)
    grey = cv2.imdecode(np.frombuffer(scanned["data"], np.uint8), cv2.IMREAD_GRAYSCALE)
    image = PageImage(Source("a.jpg", 1), np.asarray(grey, dtype=np.uint8), (300.0, 300.0))
    benchmark.group = GROUP
    benchmark.extra_info["what"] = "finding a page and its pencil, decoded already, 300 dpi"
    reading = benchmark(lambda: read_page(image, scanned["layout"], lambda page, per_mm: known))
    assert isinstance(reading, PageReading)
    assert all(4 <= len(frame.strokes) <= 6 for frame in reading.frames)


def test_baseline_decode_the_same_jpeg(benchmark: Any, scanned: dict[str, Any]) -> None:
    data = np.frombuffer(scanned["data"], np.uint8)
    benchmark.group = GROUP
    benchmark.extra_info["baseline"] = "decoding the same JPEG"
    benchmark(lambda: cv2.imdecode(data, cv2.IMREAD_GRAYSCALE))
