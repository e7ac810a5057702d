"""PDF files -> grey page images.

A page that is one scanned image gives that image at its native resolution, its dpi being
pixels over the size at which the page shows it. Any other page is rendered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import cv2
import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
from numpy.typing import NDArray

from millimark.errors import SourceError
from millimark.scan.image_files import decoded
from millimark.scan.limits import check_pixels

Grey = NDArray[np.uint8]
Dpi = tuple[float, float]

_POINTS = 72.0
"""PDF units per inch (ISO 32000-1, 8.3.2.3)."""
_RENDER_DPI = 300.0
_LOWEST_DPI, _HIGHEST_DPI = 150.0, 600.0
_EOF_WITHIN = 2048
"""Readers look for %%EOF in the last 1024 bytes (ISO 32000-1, annex H); doubled here."""


def page_count(path: Path) -> int:
    """Number of pages; SourceError for a file that is encrypted, cut short or has none."""
    with _opened(path) as document:
        count = len(document)
    if count == 0:
        raise SourceError(f"{path.name} is a PDF without pages.", "Scan it again.")
    return count


def page_image(path: Path, page: int) -> tuple[Grey, Dpi]:
    """The page (from 1) as (H, W) uint8, as a reader would see it turned, and its dpi (x, y)."""
    name = f"page {page} of {path.name}"
    with _opened(path) as document:
        try:
            leaf = document[page - 1]
            scan = _only_image(leaf)
            found = None if scan is None else _native(leaf, scan, name)
            return _rendered(leaf, name) if found is None else found
        except pdfium.PdfiumError as error:
            raise SourceError(f"{name} is damaged ({error}).", "Scan it again.") from None


@contextmanager
def _opened(path: Path) -> Iterator[pdfium.PdfDocument]:
    _check_end(path)
    try:
        document = pdfium.PdfDocument(path)
    except pdfium.PdfiumError:
        raise _why_unopened(path) from None
    except OSError as error:
        raise SourceError(f"{path.name} cannot be opened: {error.strerror}.") from None
    try:
        yield document
    finally:
        document.close()


def _why_unopened(path: Path) -> SourceError:
    """A second library says what the first, whose error codes go stale, could not open."""
    import pikepdf

    try:
        with pikepdf.open(path) as document:
            pages = len(document.pages)
    except pikepdf.PasswordError:
        return SourceError(
            f"{path.name} is encrypted: it asks for a password.", "Save it without a password."
        )
    except (pikepdf.PdfError, OSError):
        pages = -1
    if pages == 0:
        return SourceError(f"{path.name} is a PDF without pages.", "Scan it again.")
    return SourceError(f"{path.name} is a damaged PDF.", "Copy or scan it again.")


def _check_end(path: Path) -> None:
    """SourceError where the end-of-file mark is missing: a repaired half is worse than none."""
    try:
        with path.open("rb") as file:
            file.seek(max(0, path.stat().st_size - _EOF_WITHIN))
            tail = file.read()
    except OSError as error:
        raise SourceError(f"{path.name} cannot be opened: {error.strerror}.") from None
    if b"%%EOF" not in tail:
        raise SourceError(
            f"{path.name} is cut short: the end of the PDF is missing.", "Copy or scan it again."
        )


def _only_image(leaf: pdfium.PdfPage) -> pdfium.PdfImage | None:
    """The one image that is the page, if nothing else is shown; else None."""
    shown = [o for o in leaf.get_objects(max_depth=4) if not _invisible(o)]
    if len(shown) != 1 or shown[0].type != pdfium_c.FPDF_PAGEOBJ_IMAGE:
        return None
    image: pdfium.PdfImage = shown[0]
    left, bottom, right, top = image.get_bounds()
    width, height = leaf.get_mediabox()[2:]
    covered = (right - left) * (top - bottom) / max(abs(width * height), 1e-9)
    return image if covered > 0.5 and image.container is None else None


def _invisible(item: pdfium.PdfObject) -> bool:
    """Forms are walked into; text in render mode 3 is a recogniser's hidden layer."""
    if item.type == pdfium_c.FPDF_PAGEOBJ_FORM:
        return True
    if item.type != pdfium_c.FPDF_PAGEOBJ_TEXT:
        return False
    mode = pdfium_c.FPDFTextObj_GetTextRenderMode(item)
    return bool(mode == pdfium_c.FPDF_TEXTRENDERMODE_INVISIBLE)


def _native(leaf: pdfium.PdfPage, image: pdfium.PdfImage, name: str) -> tuple[Grey, Dpi] | None:
    """The image's own pixels, turned as shown; None where it stands mirrored or askew."""
    a, b, c, d, _, _ = image.get_matrix().get()
    size = max(abs(a), abs(b), abs(c), abs(d))
    straight, turned = max(abs(b), abs(c)) < 1e-3 * size, max(abs(a), abs(d)) < 1e-3 * size
    if not (straight or turned) or a * d - b * c <= 0.0:
        return None
    width, height = image.get_px_size()
    check_pixels(name, width, height)
    dpi = (width * _POINTS / math.hypot(a, b), height * _POINTS / math.hypot(c, d))
    quarter_left = round(math.atan2(b, a) / (math.pi / 2))  # of the image on the page
    quarters = (quarter_left - leaf.get_rotation() // 90) % 4
    grey = np.ascontiguousarray(np.rot90(_pixels(image, name), quarters))
    return grey, (dpi if quarters % 2 == 0 else (dpi[1], dpi[0]))


def _pixels(image: pdfium.PdfImage, name: str) -> Grey:
    """Decoded pixels; a JPEG stream goes straight to the fast decoder."""
    if image.get_filters() == ["DCTDecode"]:
        data = bytes(image.get_data(decode_simple=False))
        if _plain_jpeg(image):
            return decoded(data, name)
    return _grey(image.get_bitmap(render=False).to_numpy())


def _plain_jpeg(image: pdfium.PdfImage) -> bool:
    """Grey or RGB with 8 bits: four-colour JPEGs need the PDF's own colour rules."""
    meta = image.get_metadata()
    return int(meta.bits_per_pixel) in (8, 24)


def _rendered(leaf: pdfium.PdfPage, name: str) -> tuple[Grey, Dpi]:
    """The page drawn at the resolution of its finest image, or 300 dpi without one."""
    width, height = leaf.get_size()
    if width <= 0.0 or height <= 0.0:
        raise SourceError(f"{name} has no size.", "Scan it again.")
    scale = _render_dpi(leaf) / _POINTS
    check_pixels(name, math.ceil(width * scale), math.ceil(height * scale))
    bitmap = leaf.render(scale=scale, grayscale=True)
    grey = _grey(bitmap.to_numpy())
    rows, columns = grey.shape
    return grey, (columns * _POINTS / width, rows * _POINTS / height)


def _render_dpi(leaf: pdfium.PdfPage) -> float:
    """Resolution of the finest image on the page, kept between 150 and 600 dpi."""
    found = []
    for item in leaf.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_IMAGE], max_depth=4):
        a, b, _, _, _, _ = item.get_matrix().get()
        shown = math.hypot(a, b)
        if shown > 20.0:
            found.append(item.get_px_size()[0] * _POINTS / shown)
    return min(max(max(found, default=_RENDER_DPI), _LOWEST_DPI), _HIGHEST_DPI)


def _grey(pixels: NDArray[np.uint8]) -> Grey:
    """(H, W), (H, W, 1), (H, W, 3) BGR or (H, W, 4) BGRx as (H, W)."""
    if pixels.ndim == 2:
        return np.ascontiguousarray(pixels)
    if pixels.shape[2] == 1:
        return np.ascontiguousarray(pixels[:, :, 0])
    code = cv2.COLOR_BGR2GRAY if pixels.shape[2] == 3 else cv2.COLOR_BGRA2GRAY
    return np.asarray(cv2.cvtColor(pixels, code), dtype=np.uint8)
