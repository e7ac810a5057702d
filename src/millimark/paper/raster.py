"""Pages of a PDF as grey images, true to the millimetre.

Pixel centres at integer coordinates: page point (x, y) mm lies at pixel coordinate
(x * px_per_mm - 0.5, y * px_per_mm - 0.5). The rasteriser's own page rendering rounds
the bitmap up and stretches the page to it; here the page is drawn through an explicit
matrix instead, so the scale is exact.
"""

from __future__ import annotations

import atexit
import ctypes
import hashlib
import math
import tempfile
from functools import lru_cache
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
from numpy.typing import NDArray

from millimark.errors import SourceError
from millimark.sheet.layout import Layout, PageMap

_MM_PER_PT = 25.4 / 72


def pdf_page(pdf: Path, page: int, px_per_mm: float) -> NDArray[np.uint8]:
    """Page ``page`` (from 1) as an (H, W) uint8 image, 0 black to 255 white.

    H and W are the page's size times ``px_per_mm``, rounded up. SourceError if the file
    cannot be read or has no such page.
    """
    try:
        document = pdfium.PdfDocument(pdf)
    except (pdfium.PdfiumError, FileNotFoundError) as error:
        raise SourceError(
            f"{pdf} cannot be read as a PDF.", "Print the paper again, or copy the file again."
        ) from error
    try:
        if not 1 <= page <= len(document):
            raise SourceError(f"{pdf} has {len(document)} pages: there is no page {page}.")
        return _grey(document[page - 1], px_per_mm)
    finally:
        document.close()


def printed_page(
    layout_path: Path, layout: Layout, page: PageMap, px_per_mm: float
) -> NDArray[np.uint8]:
    """What was printed on ``page``, as ``pdf_page`` gives it, on white: a tinted ground is the
    paper's, and no print.

    Taken from question-paper.pdf beside layout.json if it is the very file that the
    layout belongs to; otherwise the paper is typeset again from the layout's own copy.
    """
    beside = layout_path.parent / "question-paper.pdf"
    if beside.is_file():
        now = beside.stat()
        document = _document(beside, now.st_mtime_ns, now.st_size, layout.pdf_sha256)
        if document is not None:
            return _on_white(_grey(document[page.pdf_page - 1], px_per_mm))
    with tempfile.TemporaryDirectory(prefix="millimark-") as folder:
        again = Path(folder) / "question-paper.pdf"
        again.write_bytes(_typeset_again(layout, page))
        return _on_white(pdf_page(again, 1, px_per_mm))


def _on_white(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The page with its ground, the most frequent grey, made white and ink lightened by as much."""
    ground = int(np.bincount(grey[::4, ::4].ravel(), minlength=256).argmax())
    if ground in (0, 255):
        return grey
    lighter = np.minimum(np.arange(256) * 255 // ground, 255).astype(np.uint8)
    whitened: NDArray[np.uint8] = lighter[grey]
    return whitened


@lru_cache(maxsize=1)
def _document(pdf: Path, changed_ns: int, size: int, sha256: str) -> pdfium.PdfDocument | None:
    """The file's document if that is its SHA-256. It stays open for the pages to come, whose
    typefaces need not be read again; a file that changes (``changed_ns``, ``size``) is another."""
    data = pdf.read_bytes()
    return pdfium.PdfDocument(data) if hashlib.sha256(data).hexdigest() == sha256 else None


atexit.register(_document.cache_clear)  # else the library reports it as left open


def sha256_of(path: Path) -> str:
    """SHA-256 of a file, hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _typeset_again(layout: Layout, page: PageMap) -> bytes:
    from millimark.paper.printing import page_again

    return page_again(layout, page)


def _grey(page: pdfium.PdfPage, px_per_mm: float) -> NDArray[np.uint8]:
    width_pt, height_pt = page.get_size()
    k = px_per_mm * _MM_PER_PT  # pixels per point
    width, height = math.ceil(width_pt * k - 1e-3), math.ceil(height_pt * k - 1e-3)
    bitmap = pdfium.PdfBitmap.new_native(width, height, pdfium_c.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    # The renderer's matrix acts on the page already flipped to y down at 1 px per point.
    matrix = pdfium_c.FS_MATRIX(k, 0, 0, k, 0, 0)
    clip = pdfium_c.FS_RECTF(0, 0, width, height)
    pdfium_c.FPDF_RenderPageBitmapWithMatrix(
        bitmap, page, ctypes.byref(matrix), ctypes.byref(clip), pdfium_c.FPDF_ANNOT
    )
    grey: NDArray[np.uint8] = np.array(bitmap.to_numpy(), dtype=np.uint8).reshape(height, width)
    return grey
