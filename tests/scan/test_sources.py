"""Every file is either pages or a named reason; resolution comes from headers, kind from bytes."""

from __future__ import annotations

import io
import os
import struct
import zlib

import cv2
import numpy as np
import pikepdf
import pytest
from PIL import Image

from millimark.scan.limits import MAX_PIXELS
from millimark.scan.reading import Unread
from millimark.scan.sources import PageImage, PageRef, list_pages, pages_of

RNG = np.random.default_rng(8)
GREY = cv2.GaussianBlur(RNG.integers(0, 256, (120, 80)).astype(np.uint8), (0, 0), 3)


def only(path):
    pages = list(pages_of([path]))
    assert len(pages) == 1
    return pages[0]


def saved(path, **options):
    Image.fromarray(GREY).save(path, **options)
    return path


def pdf_of(path, image, page_size=(80 * 72 / 200, 120 * 72 / 200), rotate=0, extra=b"", **dct):
    """A PDF whose page is one image, written object by object with pikepdf."""
    pdf = pikepdf.new()
    data = io.BytesIO()
    image.save(data, "JPEG", quality=95)
    stream = pikepdf.Stream(pdf, data.getvalue())
    stream.Type, stream.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
    stream.Width, stream.Height = image.size
    stream.ColorSpace, stream.BitsPerComponent = pikepdf.Name.DeviceGray, 8
    stream.Filter = pikepdf.Name.DCTDecode
    width, height = page_size
    page = pdf.add_blank_page(page_size=page_size)
    page.obj.Rotate = rotate
    page.obj.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im=stream))
    drawn = f"q {width} 0 0 {height} 0 0 cm /Im Do Q ".encode() + extra
    page.obj.Contents = pdf.make_stream(drawn)
    pdf.save(path, **dct)
    return path


def test_png_states_its_resolution(tmp_path):
    page = only(saved(tmp_path / "a.png", dpi=(200, 300)))
    assert isinstance(page, PageImage)
    assert np.array_equal(page.grey, GREY)
    assert page.dpi == pytest.approx((200, 300), abs=0.02)


def test_jpeg_and_tiff_state_their_resolution(tmp_path):
    jpeg = only(saved(tmp_path / "a.jpg", dpi=(300, 300), quality=95))
    tiff = only(saved(tmp_path / "a.tif", dpi=(400, 400)))
    assert jpeg.dpi == (300, 300)
    assert tiff.dpi == (400, 400)
    assert np.array_equal(tiff.grey, GREY)


def test_resolution_that_is_not_stated_is_none(tmp_path):
    assert only(saved(tmp_path / "a.png")).dpi is None


def test_pages_of_a_tiff_come_in_order(tmp_path):
    pages = [Image.fromarray(np.full((10, 12), 40 * k, np.uint8)) for k in range(4)]
    pages[0].save(tmp_path / "many.tiff", save_all=True, append_images=pages[1:])
    found = list(pages_of([tmp_path / "many.tiff"]))
    assert [int(p.grey.mean()) for p in found] == [0, 40, 80, 120]
    assert [p.source.page for p in found] == [1, 2, 3, 4]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_exif_orientation_is_honoured_as_pillow_does(tmp_path, orientation):
    """Pillow's exif_transpose is the outside authority."""
    from PIL import ImageOps

    image = Image.fromarray(GREY)
    exif = image.getexif()
    exif[274] = orientation
    image.save(tmp_path / "turned.png", exif=exif)
    with Image.open(tmp_path / "turned.png") as reopened:
        expected = np.asarray(ImageOps.exif_transpose(reopened))
    assert np.array_equal(only(tmp_path / "turned.png").grey, expected)


@pytest.mark.parametrize("mode", ["1", "RGB", "RGBA", "P", "CMYK", "I;16", "LA"])
def test_every_colour_mode_becomes_grey(tmp_path, mode):
    kind = "tif" if mode == "CMYK" else "png"
    image = Image.fromarray(np.where(GREY > 127, 255, 0).astype(np.uint8))
    if mode == "I;16":
        image = Image.fromarray(np.where(GREY > 127, 65535, 0).astype(np.uint16))
    else:
        image = image.convert(mode)
    image.save(tmp_path / f"a.{kind}")
    grey = only(tmp_path / f"a.{kind}").grey
    assert np.array_equal(grey > 127, GREY > 127)


def test_transparent_paper_is_white(tmp_path):
    rgba = np.zeros((20, 20, 4), np.uint8)
    Image.fromarray(rgba).save(tmp_path / "clear.png")
    assert (only(tmp_path / "clear.png").grey == 255).all()


def test_pdf_image_comes_at_its_own_resolution(tmp_path):
    page = only(pdf_of(tmp_path / "scan.pdf", Image.fromarray(GREY)))
    assert page.grey.shape == GREY.shape
    assert page.dpi == pytest.approx((200, 200), rel=1e-6)
    assert np.abs(page.grey.astype(int) - GREY).mean() < 1.5


@pytest.mark.parametrize("rotate", [90, 180, 270])
def test_pdf_rotation_is_honoured_as_the_renderer_does(tmp_path, rotate):
    """pdfium's own rendering of the page is the authority for which way is up."""
    import pypdfium2

    path = pdf_of(tmp_path / "scan.pdf", Image.fromarray(GREY), rotate=rotate)
    shown = pypdfium2.PdfDocument(path)[0].render(scale=200 / 72, grayscale=True).to_numpy()
    grey = only(path).grey
    shown = shown.reshape(shown.shape[:2])[: grey.shape[0], : grey.shape[1]]
    assert np.abs(grey.astype(int) - shown).mean() < 3


def test_pdf_page_with_more_than_a_scan_is_rendered_at_the_scans_resolution(tmp_path):
    path = pdf_of(tmp_path / "s.pdf", Image.fromarray(GREY), extra=b"0 0 5 5 re f")
    page = only(path)
    assert page.dpi == pytest.approx((200, 200), rel=0.02)
    assert page.grey[-3, 3] < 10


def test_a_blank_vector_page_is_rendered_true_to_scale(tmp_path):
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(595.276, 841.89))
    pdf.save(tmp_path / "v.pdf")
    page = only(tmp_path / "v.pdf")
    assert page.grey.shape[1] / page.dpi[0] * 25.4 == pytest.approx(210.0, abs=0.01)
    assert page.grey.shape[0] / page.dpi[1] * 25.4 == pytest.approx(297.0, abs=0.01)


def test_name_does_not_matter_bytes_do(tmp_path):
    saved(tmp_path / "a.png").rename(tmp_path / "a.pdf")
    assert isinstance(only(tmp_path / "a.pdf"), PageImage)


def bomb_png(width, height):
    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = zlib.compress(b"\0" * 1000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


def a_jpeg():
    return cv2.imencode(".jpg", np.kron(GREY, np.ones((6, 6), np.uint8)))[1].tobytes()


def a_png():
    return cv2.imencode(".png", GREY)[1].tobytes()


BAD = {
    "empty.pdf": (b"", "empty"),
    "notes.png": (b"just some notes about the lesson", "not a PDF, PNG, JPEG or TIFF"),
    "cut.jpg": (a_jpeg()[:4000], "cut short"),
    "cut.png": (a_png()[:-60], "cut short"),
    "head.png": (a_png()[:20], "damaged"),
    "head.jpg": (a_jpeg()[:30], "damaged"),
    "bomb.png": (bomb_png(60000, 60000), "pixels"),
    "wide.png": (bomb_png(MAX_PIXELS + 1, 1), "pixels"),
    "lies.png": (bomb_png(3000, 3000), "damaged"),
    "cut.tif": (b"II*\x00\x08\x00\x00\x00\x05\x00", "damaged"),
    "rubbish.pdf": (b"%PDF-1.7\n" + bytes(range(256)) * 20 + b"%%EOF", "damaged"),
    "cut.pdf": (b"%PDF-1.7\n1 0 obj\n<<>>\n", "cut short"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_file_is_unread_by_name_and_reason(tmp_path, name):
    data, reason = BAD[name]
    (tmp_path / name).write_bytes(data)
    page = only(tmp_path / name)
    assert isinstance(page, Unread)
    assert page.source.name == name
    assert reason in page.reason
    assert name in page.reason


def test_missing_file_is_unread(tmp_path):
    page = only(tmp_path / "gone.pdf")
    assert isinstance(page, Unread)
    assert "does not exist" in page.reason


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.png")
    assert isinstance(only(tmp_path / "pipe.png"), Unread)


def test_encrypted_pdf_is_unread(tmp_path):
    locked = pikepdf.Encryption(owner="o", user="u")
    path = pdf_of(tmp_path / "locked.pdf", Image.fromarray(GREY), encryption=locked)
    page = only(path)
    assert isinstance(page, Unread)
    assert "encrypted" in page.reason


def test_pdf_without_pages_is_unread(tmp_path):
    pikepdf.new().save(tmp_path / "none.pdf")
    page = only(tmp_path / "none.pdf")
    assert isinstance(page, Unread)
    assert "without pages" in page.reason


def test_a_pdf_page_of_impossible_size_is_unread(tmp_path):
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(14400, 14400))
    pdf.save(tmp_path / "huge.pdf")
    assert "pixels" in only(tmp_path / "huge.pdf").reason


def test_truncated_real_pdf_is_unread(tmp_path):
    path = pdf_of(tmp_path / "scan.pdf", Image.fromarray(GREY))
    data = path.read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    assert "cut short" in only(path).reason


def test_folder_gives_its_files_in_natural_order_and_the_bad_ones_too(tmp_path):
    for name in ("p10.png", "p2.png", "p1.png"):
        saved(tmp_path / name)
    (tmp_path / "p3.png").write_bytes(b"")
    (tmp_path / ".hidden").write_bytes(b"")
    (tmp_path / "later").mkdir()
    saved(tmp_path / "later" / "p0.png")
    pages = list(pages_of([tmp_path]))
    names = [p.source.name for p in pages]
    assert names == ["p1.png", "p2.png", "p3.png", "p10.png", "p0.png"]
    assert [isinstance(p, Unread) for p in pages] == [False, False, True, False, False]


def test_listing_decodes_nothing(tmp_path):
    (tmp_path / "lies.png").write_bytes(bomb_png(3000, 3000))
    assert [type(p) for p in list_pages([tmp_path])] == [PageRef]


def test_large_scans_are_halved_with_their_resolution(tmp_path):
    big = np.full((7000, 40), 200, np.uint8)
    Image.fromarray(big).save(tmp_path / "a.png", dpi=(600, 600))
    page = only(tmp_path / "a.png")
    assert page.grey.shape == (3500, 20)
    assert page.dpi == pytest.approx((300, 300), rel=1e-3)
