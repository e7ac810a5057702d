"""Pages of PDFs as pictures for the screen."""

from __future__ import annotations

from collections import OrderedDict
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from threading import Lock

import pypdfium2

PX_PER_MM = 4.0
_PX_PER_POINT = PX_PER_MM * 25.4 / 72
_ONE_AT_A_TIME = Lock()
"""PDFium may not be called from two threads at once."""


@lru_cache(maxsize=64)
def pages_of(place: Path, changed: int) -> int:
    """How many pages a PDF has; ``changed`` is the file's time, in ns."""
    with _ONE_AT_A_TIME, pypdfium2.PdfDocument(place) as document:
        return len(document)


@lru_cache(maxsize=48)
def page_of(place: Path, changed: int, page: int) -> bytes | None:
    """A page (from 1) as PNG; None where there is no such page."""
    return page_picture(place, page)


def page_picture(source: Path | bytes, page: int) -> bytes | None:
    """A page (from 1) of a PDF as PNG, `PX_PER_MM` to the mm; None where there is none."""
    with _ONE_AT_A_TIME, pypdfium2.PdfDocument(source) as document:
        if not 1 <= page <= len(document):
            return None
        image = document[page - 1].render(scale=_PX_PER_POINT).to_pil()
    out = BytesIO()
    image.save(out, "PNG", compress_level=1)
    return out.getvalue()


class Shelf:
    """Pictures of pages that are in no file, kept for a while under names made from them."""

    def __init__(self, most: int = 60) -> None:
        self._most, self._lock = most, Lock()
        self._kept: OrderedDict[str, bytes] = OrderedDict()

    def put(self, pdf: bytes, page: int) -> str:
        """Draw a page of a PDF; the name of its picture comes back."""
        name = sha256(pdf + str(page).encode()).hexdigest()[:32]
        if self.get(name) is None:
            picture = page_picture(pdf, page)
            if picture is None:
                raise ValueError(f"the document has no page {page}")
            with self._lock:
                self._kept[name] = picture
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        return name

    def get(self, name: str) -> bytes | None:
        """The picture of this name; None once it has been put away."""
        with self._lock:
            if name in self._kept:
                self._kept.move_to_end(name)
            return self._kept.get(name)
