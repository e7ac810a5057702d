"""Whole pages: found in any position, mapped to a few hundredths of a millimetre, or refused."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from tests.scan import easel

from millimark.scan.locating import locate, mark_pairs
from millimark.scan.mapping import fit_page
from millimark.scan.markers import find_marks
from millimark.scan.models import Setting
from millimark.scan.page import is_empty, read_page
from millimark.scan.reading import PageReading, Source, Unread
from millimark.scan.sources import PageImage
from millimark.sheet.layout import Layout

LAYOUT = easel.layout_of()


def read(seen, layout=LAYOUT, stated=None):
    image = seen.image if isinstance(seen, easel.Seen) else seen
    return read_page(image, layout, lambda page, per_mm: easel.known(per_mm), stated)


def image_of(grey, dpi=(300.0, 300.0)):
    return PageImage(Source("x.png", 1), grey, dpi)


def rms(error):
    return float(np.sqrt((error**2).sum(axis=1).mean()))


SCANS = {
    "straight": {},
    "skewed": {"turn_deg": 2.1},
    "upside down": {"turn_deg": 180.4, "quality": 80},
    "a quarter turn": {"turn_deg": 90.0},
    "three quarters": {"turn_deg": 269.2},
    "150 dpi": {"dpi": 150.0},
    "200 dpi, noisy": {"dpi": 200.0, "noise": 8.0},
    "600 dpi": {"dpi": 600.0},
    "printed at 94 %": {"scale": (0.94, 0.94)},
    "stretched along the feed": {"scale": (1.0, 1.006)},
    "bilevel": {"bilevel": True, "noise": 12.0},
}


@pytest.mark.parametrize("name", SCANS)
def test_scanned_page_is_mapped_within_three_hundredths(name):
    seen = easel.scan(easel.blank(), **SCANS[name])
    reading = read(seen)
    assert isinstance(reading, PageReading)
    assert reading.sheet.sheet == "S0001"
    assert reading.registration_mm <= 0.06
    assert rms(seen.map_error(locate(seen.image.grey, LAYOUT).fit)) <= 0.03
    assert not reading.frames[0].strokes


def test_uneven_feed_is_followed():
    def feed(paper):
        wave = 0.06 * np.sin(paper[:, 1:2] / 18.0)
        return paper + np.hstack((0.3 * wave, wave))

    seen = easel.scan(easel.blank(), feed=feed)
    fit = locate(seen.image.grey, LAYOUT).fit
    assert rms(seen.map_error(fit)) <= 0.02
    assert fit.spread_mm(np.array([[74.0, 95.0]]))[0] > 0.004


PHOTOS = {
    "from above": ({}, 0.02),
    "tilted 30 degrees": ({"tilt_deg": (30.0, 5.0)}, 0.03),
    "turned and tilted": ({"tilt_deg": (-12.0, 18.0), "turn_deg": 100.0}, 0.03),
    "lens": ({"lens": -0.03, "tilt_deg": (8.0, 3.0)}, 0.03),
    "curled": ({"curl_mm": 6.0, "curl_deg": 20.0, "tilt_deg": (10.0, -6.0)}, 0.08),
    "curled, lens, shadow": (
        {"curl_mm": 4.0, "curl_deg": 95.0, "lens": 0.02, "tilt_deg": (15.0, 4.0), "shadow": 0.4},
        0.08,
    ),
}


@pytest.mark.parametrize("name", PHOTOS)
def test_photographed_page_is_mapped(name):
    options, allowed = PHOTOS[name]
    seen = easel.photograph(easel.blank(), **options)
    located = locate(seen.image.grey, LAYOUT)
    assert not isinstance(located, str), located
    assert rms(seen.map_error(located.fit)) <= allowed


@pytest.mark.parametrize("wave_mm", [6.0, 15.0, 25.0, 40.0])
def test_a_page_with_a_wave_across_its_top_is_mapped_or_refused(wave_mm):
    """No cylinder: the marks alone leave the middle millimetres off, and say nothing of it."""
    seen = easel.photograph(easel.blank(), tilt_deg=(25.0, -6.0), turn_deg=3.0, wave_mm=wave_mm)
    fit = locate(seen.image.grey, LAYOUT).fit
    error, doubt = rms(seen.map_error(fit)), read(seen)
    if isinstance(doubt, PageReading):
        assert error <= 0.35
        assert error <= 3.0 * doubt.map_sigma_mm
    else:
        assert "curled" in doubt.reason


@pytest.mark.parametrize("scale", [0.90, 0.97, 1.0, 1.05])
def test_print_scale_comes_from_the_stated_resolution(scale):
    reading = read(easel.scan(easel.blank(), scale=(scale, scale)))
    assert reading.print_scale == pytest.approx(scale, abs=5e-4)
    assert reading.print_scale_source == "scanner"


@pytest.mark.parametrize("perspective", [2e-7, 1e-5])
def test_a_trace_of_perspective_makes_no_photograph(perspective):
    """A feeder's wobble was taken for perspective: its pages' print scale was 'assumed'. A camera
    held by hand leaves fifty times as much."""
    grey = easel.scan(easel.blank()).image.grey
    height, width = grey.shape
    askew = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [perspective, 0.0, 1.0]])
    seen = cv2.warpPerspective(grey, askew, (width, height), borderValue=255)
    source = read(image_of(seen)).print_scale_source
    assert source == ("scanner" if perspective < 1e-6 else "assumed")


def test_print_scale_that_is_told_wins():
    reading = read(easel.scan(easel.blank()), stated=0.97)
    assert (reading.print_scale, reading.print_scale_source) == (0.97, "stated")


@pytest.mark.parametrize("dpi", [None, (72.0, 72.0), (400.0, 400.0)])
def test_implausible_or_missing_resolution_is_not_believed(dpi):
    grey = easel.scan(easel.blank()).image.grey
    reading = read(image_of(grey, dpi))
    assert (reading.print_scale, reading.print_scale_source) == (1.0, "assumed")
    assert reading.scale_sigma >= 0.01


def covered(grey, boxes):
    """White paper laid over page boxes (mm) of an unturned 300 dpi scan."""
    grey = grey.copy()
    for x0, y0, x1, y1 in boxes:
        a, b = (int((v + 3) * 300 / 25.4) for v in (x0, x1))
        c, d = (int((v + 3) * 300 / 25.4) for v in (y0, y1))
        grey[max(c, 0) : d, max(a, 0) : b] = 240
    return grey


def test_missing_corners_leave_the_page_readable():
    grey = easel.scan(easel.blank()).image.grey
    corners = [(-3, -3, 30, 30), (118, 180, 151, 213)]
    reading = read(image_of(covered(grey, corners)))
    assert isinstance(reading, PageReading)
    assert reading.registration_mm <= 0.05


def test_too_few_marks_are_counted_in_the_reason():
    grey = easel.scan(easel.blank()).image.grey
    reading = read(image_of(covered(grey, [(-3, 30, 151, 213), (30, -3, 100, 30)])))
    assert isinstance(reading, Unread)
    assert "2 of 12 registration marks" in reading.reason


def test_page_whose_codes_are_both_covered_says_so():
    grey = easel.scan(easel.blank()).image.grey
    boxes = [code.box for code in easel.page_map().codes]
    reading = read(image_of(covered(grey, boxes)))
    assert isinstance(reading, Unread)
    assert "page code" in reading.reason


def test_one_code_is_enough():
    grey = easel.scan(easel.blank()).image.grey
    reading = read(image_of(covered(grey, [easel.page_map().codes[0].box])))
    assert isinstance(reading, PageReading)


def test_page_of_another_paper():
    other = Layout({}, "ABC123", LAYOUT.sheets)
    reading = read(easel.scan(easel.blank()), other)
    assert isinstance(reading, Unread)
    assert "another paper" in reading.reason
    assert "7K2QXW" in reading.reason


def test_sheet_that_was_never_printed():
    reading = read(easel.scan(easel.blank("S0077")))
    assert isinstance(reading, Unread)
    assert "S0077" in reading.reason


def test_page_number_that_was_never_printed():
    assert "no page 4" in read(easel.scan(easel.blank("S0001", 4))).reason


def test_mirrored_page_is_refused_as_mirrored():
    grey = easel.scan(easel.blank()).image.grey[:, ::-1].copy()
    reading = read(image_of(grey))
    assert isinstance(reading, Unread)
    assert "mirrored" in reading.reason


@pytest.mark.parametrize(
    ("what", "reason"),
    [
        ("noise", "no registration marks"),
        ("white", "the page is empty"),
        ("black", "no registration marks"),
        ("stripes", "no registration marks"),
        ("tiny", "no registration marks"),
    ],
)
def test_picture_of_something_else(what, reason):
    rng = np.random.default_rng(2)
    shape = (2400, 1800)
    grey = {
        "noise": rng.integers(0, 256, shape),
        "white": np.full(shape, 250),
        "black": np.zeros(shape),
        "stripes": np.indices(shape)[1] // 40 % 2 * 255,
        "tiny": np.full((3, 2), 128),
    }[what].astype(np.uint8)
    reading = read(image_of(grey))
    assert isinstance(reading, Unread)
    assert reason in reading.reason


def test_page_code_agrees_with_opencvs_decoder():
    """cv2.QRCodeDetector is the second decoder; zxing reads the same page in ``locate``."""
    seen = easel.scan(easel.blank(), dpi=200.0)
    located = locate(seen.image.grey, LAYOUT)
    x0, y0, x1, y1 = located.page.codes[0].box
    corners = located.fit.px(np.array([[x0, y0], [x1, y1]])).round().astype(int)
    crop = seen.image.grey[corners[0, 1] : corners[1, 1], corners[0, 0] : corners[1, 0]]
    text = cv2.QRCodeDetector().detectAndDecode(cv2.resize(crop, None, fx=3, fy=3))[0]
    assert text == located.page.codes[0].text


@pytest.mark.parametrize("left", [3, 5, 8])
def test_any_marks_that_suffice_give_the_map(left):
    """Marks are covered in a seeded order; what is left need not include a corner."""
    marks = easel.page_map().marks
    order = np.random.default_rng(left).permutation(len(marks))
    boxes = [(m.x - 6, m.y - 6, m.x + 6, m.y + 6) for m in (marks[i] for i in order[left:])]
    seen = easel.scan(easel.blank())
    located = locate(covered(seen.image.grey, boxes), LAYOUT)
    assert not isinstance(located, str), located
    assert rms(seen.map_error(located.fit)) <= 0.02


def test_a_folded_corner_on_a_photograph_costs_little():
    seen = easel.photograph(easel.blank(), tilt_deg=(12.0, 6.0), curl_mm=3.0)
    corner = seen.image.grey.copy()
    corner[:700, :600] = 120
    located = locate(corner, LAYOUT)
    assert not isinstance(located, str), located
    assert rms(seen.map_error(located.fit)) <= 0.08


def test_two_photographs_of_marks_alone_state_their_doubt():
    """Without the dots a curled page's middle is less certain, and the map says so."""
    page = easel.page_map()
    seen = easel.photograph(easel.blank(), tilt_deg=(12.0, 6.0), curl_mm=5.0, curl_deg=30.0)
    full = locate(seen.image.grey, LAYOUT).fit
    marks = mark_pairs(find_marks(seen.image.grey), page.marks)
    setting = Setting(page.width_mm, page.height_mm, *seen.image.grey.shape[::-1])
    alone = fit_page(setting, marks)
    middle = np.array([[74.0, 95.0]])
    assert alone.spread_mm(middle)[0] > full.spread_mm(middle)[0]


def test_a_frame_that_the_picture_cuts_off_is_not_judged():
    grey = easel.scan(easel.blank()).image.grey
    reading = read(image_of(grey[:, : int(100 * 300 / 25.4)].copy()))
    assert isinstance(reading, Unread)
    assert "cuts off part of the answer frame of question 1" in reading.reason


def test_a_cut_that_spares_the_frame_does_not_matter():
    grey = easel.scan(easel.blank()).image.grey
    reading = read(image_of(grey[:, : int(133 * 300 / 25.4)].copy()))
    assert isinstance(reading, PageReading)


def test_a_black_and_white_scan_is_known_as_such():
    bilevel = easel.scan(easel.blank(), bilevel=True, noise=10.0, quality=75)
    grey = easel.scan(easel.blank(), noise=2.0, quality=75)
    assert read(bilevel).two_tone
    assert not read(grey).two_tone


@pytest.mark.parametrize("seed", range(3))
def test_an_empty_back_is_called_empty_and_a_faint_line_is_not(seed):
    rng = np.random.default_rng(seed)
    shade = np.linspace(-25.0, 10.0, 1240)[None, :]  # a lamp that fades to one side
    back = 236.0 + shade + rng.normal(0.0, 3.0, (1754, 1240))
    back[:, :20] = 60.0  # the scanner's lid beside the sheet
    assert is_empty(np.clip(back, 0, 255).astype(np.uint8))
    drawn = np.clip(back, 0, 255).astype(np.uint8)
    cv2.line(drawn, (300, 400), (900, 1200), 120, 3, cv2.LINE_AA)
    assert not is_empty(drawn)
