"""Pencil on paper, in pixels: grain, width and pressure, with centre lines left unbiased.

Pixel centres stand at integer coordinates; page mm ``p`` lies at pixel
``p * px_per_mm - 0.5``. A stroke is laid column by column where it runs across and row by
row where it runs down, at its exact height there, so no raster line routine can shift it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.rehearsal.pencil import PencilStroke, Shading, Xy, resampled

TILE = 1024
"""Side of the paper's repeating tooth, px."""

F32 = NDArray[np.float32]


@dataclass(frozen=True)
class _Run:
    """A piece of a stroke along one major axis: its heights at whole major pixels.

    ``major`` (N,) int; ``minor`` (N,) the centre there; ``cos`` (N,) of the slope; ``past``
    (N,) px beyond the piece's ends along the stroke; ``half`` (N,) half width px; ``press``
    (N,) pressure.
    """

    down: bool
    major: NDArray[np.int64]
    minor: F32
    cos: F32
    past: F32
    half: F32
    press: F32


def paper_tooth(rng: np.random.Generator) -> F32:
    """The paper's tooth, (TILE, TILE) float32, evenly spread over 0..1, repeating."""
    noise = rng.standard_normal((TILE, TILE)).astype(np.float32)
    freq = np.hypot(np.fft.fftfreq(TILE)[:, None], np.fft.rfftfreq(TILE)[None, :])
    filter_ = np.exp(-((freq / 0.16) ** 2)) + 0.12 * np.exp(-((freq / 0.03) ** 2))
    field = np.fft.irfft2(np.fft.rfft2(noise) * filter_, s=(TILE, TILE))
    ranks = np.empty(field.size, dtype=np.float32)
    ranks[np.argsort(field, axis=None)] = np.linspace(0.0, 1.0, field.size, dtype=np.float32)
    return ranks.reshape(TILE, TILE)


def draw(
    page: NDArray[np.uint8],
    strokes: Sequence[PencilStroke],
    print_scale: float,
    px_per_mm: float,
    rng: np.random.Generator,
) -> None:
    """Lay the strokes (paper mm) onto ``page`` (H, W) uint8 grey, in place.

    Strokes outside the page are left out. Overlapping strokes darken each other.
    """
    tooth = np.roll(_tooth(), rng.integers(TILE, size=2), axis=(0, 1))
    wet = np.zeros(page.shape, dtype=np.float32)
    per_mm = px_per_mm / print_scale
    for stroke in strokes:
        _lay(page, wet, stroke, per_mm, tooth, rng)


SMEAR_MM = 0.7
"""How far a finger carries graphite beyond an edge, mm (standard deviation)."""


def smear(
    page: NDArray[np.uint8],
    area: Shading,
    print_scale: float,
    px_per_mm: float,
    rng: np.random.Generator,
) -> None:
    """Lay an even grey, as of graphite rubbed with a finger, on ``page`` (H, W), in place.

    It has no strokes and no grain, wanders by a tenth over centimetres and ends softly.
    """
    import cv2

    per_mm = px_per_mm / print_scale
    rows, columns = area.mask.shape
    soft = cv2.GaussianBlur(area.mask.astype(np.float32), (0, 0), SMEAR_MM / area.cell)
    cloud = rng.standard_normal((rows // 40 + 2, columns // 40 + 2)).astype(np.float32)
    wander = cv2.resize(cloud, (columns, rows), interpolation=cv2.INTER_CUBIC)
    depth = np.asarray(soft * area.tone * (1.0 + 0.1 * np.clip(wander, -1.5, 1.5)), np.float32)
    # mask cell k is centred at origin + k * cell; a page pixel at (p + 1/2) / per_mm
    step = area.cell * per_mm
    x, y = (v * per_mm - 0.5 for v in area.origin)
    into = np.array([[step, 0.0, x], [0.0, step, y]])
    size = (page.shape[1], page.shape[0])
    laid = cv2.warpAffine(depth, into, size, flags=cv2.INTER_LINEAR, borderValue=0.0)
    page[:] = np.rint(page * (1.0 - laid)).astype(np.uint8)


_TOOTH: list[F32] = []


def _tooth() -> F32:
    """One sheet of paper is like another: the tooth is made once in a process."""
    if not _TOOTH:
        _TOOTH.append(paper_tooth(np.random.default_rng(1871)))
    return _TOOTH[0]


def _lay(
    page: NDArray[np.uint8],
    wet: F32,
    stroke: PencilStroke,
    per_mm: float,
    tooth: F32,
    rng: np.random.Generator,
) -> None:
    """One stroke: the deepest of its own overlaps, then multiplied into the page."""
    flat = wet.reshape(-1)
    touched: list[NDArray[np.int64]] = []
    for run in _runs(stroke, per_mm, rng):
        where, depth = _deposit(run, page.shape, tooth)
        flat[where] = np.maximum(flat[where], depth)
        touched.append(where)
    if not touched:
        return
    where = np.concatenate(touched)
    pixels = page.reshape(-1)
    pixels[where] = np.rint(pixels[where] * (1.0 - stroke.darkness * flat[where]))
    flat[where] = 0.0


def _runs(stroke: PencilStroke, per_mm: float, rng: np.random.Generator) -> Iterator[_Run]:
    """A stroke cut where its major axis or its sense along that axis changes."""
    xy = resampled(stroke.xy, 0.2) * per_mm - 0.5
    if len(xy) == 1:
        xy = np.vstack((xy, xy + np.array([0.4, 0.1]) * per_mm))
    half = 0.5 * stroke.width * per_mm * (1.0 + 0.10 * _slow(len(xy), rng))
    press = np.clip(1.0 + 0.10 * _slow(len(xy), rng), 0.6, 1.3)
    step = np.diff(xy, axis=0)
    down = np.abs(step[:, 1]) > np.abs(step[:, 0])
    sense = np.sign(np.where(down, step[:, 1], step[:, 0]))
    key = down * 4 + sense
    cuts = np.flatnonzero(np.diff(key)) + 1
    for first, last in zip([0, *cuts], [*cuts, len(step)], strict=True):
        part = slice(first, last + 1)
        run = _run(xy[part], bool(down[first]), half[part], press[part])
        if run is not None:
            yield run


def _run(xy: Xy, down: bool, half: Xy, press: Xy) -> _Run | None:
    """One run; None where it crosses no pixel centre even with its rounded ends."""
    major, minor = (xy[:, 1], xy[:, 0]) if down else (xy[:, 0], xy[:, 1])
    if major[0] > major[-1]:
        major, minor, half, press = major[::-1], minor[::-1], half[::-1], press[::-1]
    reach = float(half.max()) * 1.6
    at = np.arange(np.ceil(major[0] - reach), np.floor(major[-1] + reach) + 1)
    if len(at) == 0:
        return None
    slope = np.diff(minor) / np.maximum(np.diff(major), 1e-9)
    middle = (major[1:] + major[:-1]) / 2
    local = np.clip(np.interp(at, middle, slope), -1.2, 1.2)
    inside = np.interp(at, major, minor)
    beyond = np.where(at < major[0], at - major[0], np.where(at > major[-1], at - major[-1], 0.0))
    cos = 1.0 / np.sqrt(1.0 + local**2)
    return _Run(
        down,
        at.astype(np.int64),
        (inside + beyond * local).astype(np.float32),
        cos.astype(np.float32),
        np.abs(beyond / cos).astype(np.float32),
        np.interp(at, major, half).astype(np.float32),
        np.interp(at, major, press).astype(np.float32),
    )


def _deposit(run: _Run, shape: tuple[int, ...], tooth: F32) -> tuple[NDArray[np.int64], F32]:
    """Flat pixel indices, each once, and how much graphite (0..1) lies there."""
    reach = int(np.ceil(float(run.half.max()) * 2.1)) + 1
    nearest = np.rint(run.minor).astype(np.int64)
    offsets = np.arange(-reach, reach + 1)
    minor = nearest[:, None] + offsets
    major = np.broadcast_to(run.major[:, None], minor.shape)
    rows, cols = (major, minor) if run.down else (minor, major)
    across = (minor.astype(np.float32) - run.minor[:, None]) * run.cos[:, None]
    # beyond an end, `past` runs to the same pixel obliquely: take off what `across` covers
    u2 = (across**2 + run.past[:, None] ** 2) / run.half[:, None] ** 2
    bite = run.press[:, None] * np.exp(-0.9 * u2 * u2)
    keep = (bite > 0.02) & (rows >= 0) & (rows < shape[0]) & (cols >= 0) & (cols < shape[1])
    r, c, b = rows[keep], cols[keep], bite[keep]
    rise = np.clip((b - 0.72 * tooth[r % TILE, c % TILE]) / 0.5 + 0.05, 0.0, 1.0)
    return r * shape[1] + c, (rise * rise * (3.0 - 2.0 * rise)).astype(np.float32)


def _slow(n: int, rng: np.random.Generator) -> Xy:
    """Slow noise of n samples, about -1.5 to 1.5: pressure and width wander within 4 mm."""
    knots = rng.standard_normal(max(2, n // 20 + 2))
    wander: Xy = np.interp(np.linspace(0, len(knots) - 1, n), np.arange(len(knots)), knots)
    return np.clip(wander, -1.5, 1.5)
