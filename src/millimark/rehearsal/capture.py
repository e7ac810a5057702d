"""How a sheet becomes an image: which device, which tones, what wear; one seeded choice each."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from millimark.rehearsal import flatbed, phone
from millimark.rehearsal.flatbed import Capture

CAPTURES = ("flatbed", "feeder", "phone", "mixed")
TONES = ("grey", "colour", "bilevel", "mixed")


@dataclass(frozen=True)
class Device:
    """What takes the picture of one page."""

    capture: str
    tone: str
    dpi: float
    upside_down: bool


def choose_device(
    capture: str, tone: str, dpi: float, upside_down: float, rng: np.random.Generator
) -> Device:
    """The device for one page; "mixed" is left to chance. Photographs are in colour."""
    turned = bool(rng.random() < upside_down)
    if capture == "mixed":
        capture = str(rng.choice(["flatbed", "feeder", "phone"], p=[0.5, 0.25, 0.25]))
    if tone == "mixed":
        tone = str(rng.choice(["grey", "colour", "bilevel"], p=[0.6, 0.3, 0.1]))
    return Device(capture, "colour" if capture == "phone" else tone, dpi, turned)


def take(
    device: Device,
    page: NDArray[np.uint8],
    px_per_mm: float,
    size_mm: tuple[float, float],
    print_scale: float,
    rng: np.random.Generator,
) -> Capture:
    """The picture of ``page``, in the device's tones."""
    if device.capture == "phone":
        shot = phone.aim(rng, device.upside_down)
        return phone.photograph(page, px_per_mm, size_mm, print_scale, shot, rng)
    laid = flatbed.lay(rng)
    if device.capture == "feeder":
        laid = flatbed.fed(laid, rng)
    taken = flatbed.scan(
        page, px_per_mm, size_mm, print_scale, laid, device.dpi, device.upside_down, rng
    )
    return replace(taken, image=_toned(taken.image, device.tone, rng))


def _toned(image: NDArray[np.uint8], tone: str, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Grey as it is; (H, W, 3) RGB with a faint cast; or only 0 and 255."""
    import cv2

    if tone == "bilevel":
        limit = float(rng.uniform(196, 216))
        return np.where(image > limit, np.uint8(255), np.uint8(0)).astype(np.uint8)
    if tone == "colour":
        cast = rng.uniform(0.96, 1.0, 3)
        levels = np.arange(256)
        tables = [np.clip(np.rint(levels * c), 0, 255).astype(np.uint8) for c in cast]
        return np.asarray(cv2.merge([cv2.LUT(image, t) for t in tables]), dtype=np.uint8)
    return image
