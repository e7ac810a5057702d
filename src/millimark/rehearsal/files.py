"""Scans as files: JPEG, PNG, TIFF or PDF, with the resolution stated as a scanner does."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SUFFIX = {"jpeg": ".jpg", "png": ".png", "tiff": ".tif", "pdf": ".pdf"}
FORMS = (*SUFFIX, "mixed", "batch-pdf", "bundles")


def encoded(
    image: NDArray[np.uint8], form: str, dpi: float | None, rng: np.random.Generator
) -> bytes:
    """The image (H, W) or (H, W, 3) RGB uint8, or (H, W) of 0 and 255 only, as a file.

    ``dpi`` None: the file states no resolution. Bilevel TIFFs are packed as a fax is.
    """
    if form == "pdf":
        return pdf_of([encoded(image, "jpeg", dpi, rng)], [dpi or 72.0])
    from PIL import Image

    picture = Image.fromarray(image)
    options: dict[str, object] = {} if dpi is None else {"dpi": (dpi, dpi)}
    if form == "jpeg":
        options |= {"quality": int(rng.integers(72, 93))}
    elif form == "png":
        options |= {"compress_level": 1}
    elif _bilevel(image):
        picture = picture.convert("1", dither=Image.Dither.NONE)
        options |= {"compression": "group4"}
    else:
        options |= {"compression": "tiff_adobe_deflate"}
    buffer = io.BytesIO()
    picture.save(buffer, {"jpeg": "JPEG", "png": "PNG", "tiff": "TIFF"}[form], **options)
    return buffer.getvalue()


def _bilevel(image: NDArray[np.uint8]) -> bool:
    return image.ndim == 2 and not np.any((image[::7] > 0) & (image[::7] < 255))


def pdf_of(jpegs: Sequence[bytes], dpi: Sequence[float]) -> bytes:
    """A PDF with one JPEG to a page, each at its resolution, the JPEGs untouched."""
    import pikepdf
    from PIL import Image

    pdf = pikepdf.new()
    for data, resolution in zip(jpegs, dpi, strict=True):
        with Image.open(io.BytesIO(data)) as picture:
            width, height, mode = picture.width, picture.height, picture.mode
        page = pdf.add_blank_page(page_size=(width * 72 / resolution, height * 72 / resolution))
        space = pikepdf.Name.DeviceGray if mode == "L" else pikepdf.Name.DeviceRGB
        page.Resources = pikepdf.Dictionary(
            XObject=pikepdf.Dictionary(
                Im0=pikepdf.Stream(
                    pdf, data, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image,
                    Width=width, Height=height, ColorSpace=space, BitsPerComponent=8,
                    Filter=pikepdf.Name.DCTDecode,
                )
            )
        )  # fmt: skip
        size = f"{width * 72 / resolution:.6f} 0 0 {height * 72 / resolution:.6f} 0 0"
        page.Contents = pikepdf.Stream(pdf, f"q {size} cm /Im0 Do Q".encode())
    buffer = io.BytesIO()
    pdf.save(buffer, deterministic_id=True)
    return buffer.getvalue()


def join_pages(parts: Sequence[Path], dpi: Sequence[float], into: Path) -> None:
    """Join JPEG pages into one PDF and take the single pages away."""
    into.write_bytes(pdf_of([part.read_bytes() for part in parts], dpi))
    for part in parts:
        part.unlink()
