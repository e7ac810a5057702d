"""PNG, JPEG and TIFF files -> grey images with their stated resolution.

Headers are read (and limits checked) before a pixel is decoded. Whatever is wrong with a
file is a SourceError that names it.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError

from millimark.errors import SourceError
from millimark.scan.limits import Kind, check_pixels

Grey = NDArray[np.uint8]
Dpi = tuple[float, float] | None

_ORIENTATION = 274
"""The EXIF (and TIFF) tag that says how the image is to be turned."""
_BAND = 1024
"""Rows that are converted at once."""
_PLAIN_MODES = ("L", "1", "RGB", "I;16", "P")


def page_count(path: Path) -> int:
    """Pages in a TIFF file: the number of its images."""
    with _opened(path) as image:
        return int(getattr(image, "n_frames", 1))


def page_image(path: Path, kind: Kind, page: int = 1) -> tuple[Grey, Dpi]:
    """The page as (H, W) uint8, turned upright as its header says, and its (x, y) dpi."""
    with _opened(path) as image:
        if kind == "tiff":
            image.seek(page - 1)
        check_pixels(path.name, *image.size)
        dpi = stated_dpi(image)
        turn = int(image.getexif().get(_ORIENTATION, 1))
        fast = kind in ("png", "jpeg") and image.mode in _PLAIN_MODES
        if fast and "transparency" not in image.info:
            grey = decoded(path.read_bytes(), path.name)
        else:
            grey = _by_pillow(image)
    return _upright(grey, dpi, turn)


def decoded(data: bytes, name: str) -> Grey:
    """A PNG's or JPEG's pixels as grey; SourceError where the file is cut short or broken."""
    _check_whole(data, name)
    cv2.utils.logging.setLogLevel(0)
    flags = cv2.IMREAD_GRAYSCALE | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        grey = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    except cv2.error:
        grey = None
    if grey is None or grey.size == 0:
        raise SourceError(f"{name} is damaged: its image cannot be decoded.", "Scan it again.")
    return np.asarray(grey, dtype=np.uint8)


def stated_dpi(image: Image.Image) -> Dpi:
    """The resolution in the header: PNG pHYs, JPEG JFIF or EXIF, TIFF tags; else None."""
    stated = image.info.get("dpi")
    if not isinstance(stated, tuple) or len(stated) != 2:
        return None
    x, y = float(stated[0]), float(stated[1])
    return (x, y) if 1.0 < x < 1e5 and 1.0 < y < 1e5 else None


def _check_whole(data: bytes, name: str) -> None:
    """SourceError for a PNG without its end chunk or a JPEG that stops early."""
    tail = data[-4096:].rstrip(b"\x00\r\n ")
    whole = b"IEND" in tail if data.startswith(b"\x89PNG") else b"\xff\xd9" in tail
    if not whole:
        raise SourceError(f"{name} is cut short: its end is missing.", "Copy or scan it again.")


def _by_pillow(image: Image.Image) -> Grey:
    """Any mode as grey, in bands so that a large page is held only once; transparent parts
    are white paper."""
    width, height = image.size
    grey = np.empty((height, width), dtype=np.uint8)
    deep = image.mode.startswith(("I", "F"))
    top = _deep_white(image) if deep else 255.0
    for start in range(0, height, _BAND):
        stop = min(start + _BAND, height)
        band = image.crop((0, start, width, stop))
        if deep:
            share = np.asarray(band, dtype=np.float32) / top
            grey[start:stop] = (np.clip(share, 0.0, 1.0) * 255.0).round()
        else:
            grey[start:stop] = np.asarray(_on_white(band).convert("L"))
    return grey


def _deep_white(image: Image.Image) -> float:
    """The value of white in an image of more than 8 bits."""
    low, high = image.getextrema()
    return 65535.0 if float(max(np.max(low), np.max(high))) > 255.0 else 255.0


def _on_white(band: Image.Image) -> Image.Image:
    if band.mode not in ("RGBA", "LA", "PA") and "transparency" not in band.info:
        return band
    rgba = band.convert("RGBA")
    return Image.alpha_composite(Image.new("RGBA", rgba.size, "white"), rgba)


def _upright(grey: Grey, dpi: Dpi, orientation: int) -> tuple[Grey, Dpi]:
    """EXIF orientations 2 to 8 undone (TIFF 6.0 / EXIF 2.3, tag Orientation)."""
    if orientation in (5, 6, 7, 8):
        grey = np.ascontiguousarray(grey.T)
        dpi = None if dpi is None else (dpi[1], dpi[0])
    if orientation in (2, 3, 6, 7):
        grey = np.ascontiguousarray(grey[:, ::-1])
    if orientation in (3, 4, 7, 8):
        grey = np.ascontiguousarray(grey[::-1])
    return grey, dpi


@contextmanager
def _opened(path: Path) -> Iterator[Image.Image]:
    """The file's header, read; every complaint of the decoder as a SourceError."""
    try:
        with warnings.catch_warnings():
            # Pixel limits are checked in `check_pixels`; other remarks concern broken tags.
            warnings.simplefilter("ignore")
            with Image.open(path) as image:
                yield image
    except Image.DecompressionBombError:
        raise SourceError(
            f"{path.name} would open to more pixels than a scanned page may have.",
            "Scan it at 300 dpi.",
        ) from None
    except UnidentifiedImageError:
        raise SourceError(f"{path.name} is damaged: its header makes no sense.") from None
    except (OSError, SyntaxError, ValueError, EOFError, KeyError, TypeError) as error:
        raise SourceError(
            f"{path.name} is damaged or cut short ({error}).", "Copy or scan it again."
        ) from None
