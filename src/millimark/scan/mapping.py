"""The map of one page: page millimetres <-> pixels, chosen by evidence, with its uncertainty.

A scanner's page is affine, a flat photograph a homography; lens and curl ask for more.
What the chosen model leaves is smoothed over the page as a Gaussian process, whose spread
is the map's uncertainty where no printed point is near.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.scan import models
from millimark.scan.models import Camera, Fitted, Flat, Setting

Array = NDArray[np.float64]

GOOD_FLAT_MM = 0.06
"""A flat model whose marks fit this well (rms) is not asked to bend: see docs/measurement.md."""
_UNBENDABLE_MM = 0.05
"""What a cylinder cannot follow of a real page; left to the smooth part."""
_MANY, _FEW_BENDS = 90, 3
"""Known points from which all terms of a bend are asked for, and the terms before."""
_GATE_MM, _WIDE_GATE_MM = 0.25, 2.0
"""Residual under which no point is dropped, with many known points and with few (marks only:
their numbers are certain, a curled page is not yet understood)."""
_LENGTHS = (35.0, 70.0, 140.0)
"""Correlation lengths of paper and feed errors that are tried, mm."""
_SIZES = (0.01, 0.02, 0.04, 0.08, 0.16, 0.4, 1.0, 2.5, 6.0)
"""Standard deviations of the smooth part that are tried, mm."""
_NOISES = (0.5, 1.0, 2.0, 4.0, 8.0)
"""Multiples of the points' stated sigma that are tried."""
_NOTHING_LEFT_MM = 0.010
"""A model that leaves less than this (rms) is not corrected further: it is the dots' noise."""
_AS_SCANNED_MM = 0.2
"""A scanner's page departs from an affine map by less than this, rms mm (feeders with a wobble: at
most 0.05; photographs, however straight: over 0.5; measured on rehearsed pages)."""
_ENTRANCE = 8.0
"""Gain in twice the log likelihood below which a smooth part is not believed."""


@dataclass(frozen=True, eq=False)
class Pairs:
    """Known points: ``xy`` (N, 2) page mm, ``px`` (N, 2) where they were seen, ``sigma``
    (N,) px across either axis."""

    xy: Array
    px: Array
    sigma: Array

    def __len__(self) -> int:
        return len(self.xy)

    def and_(self, other: Pairs) -> Pairs:
        """Both together."""
        return Pairs(
            np.vstack((self.xy, other.xy)),
            np.vstack((self.px, other.px)),
            np.concatenate((self.sigma, other.sigma)),
        )

    def only(self, keep: NDArray[np.bool_]) -> Pairs:
        """Those that are kept."""
        return Pairs(self.xy[keep], self.px[keep], self.sigma[keep])


@dataclass(frozen=True, eq=False)
class Smooth:
    """A Gaussian process for what is left, mm: ``pull`` (N, 2) its weights at ``at`` (N, 2)."""

    at: Array
    pull: Array
    inverse: Array
    length: float
    size: float

    def shift(self, xy: Array) -> Array:
        """Expected (dx, dy) mm at page points (N, 2)."""
        moved: Array = self._kernel(xy) @ self.pull
        return moved

    def spread(self, xy: Array) -> Array:
        """Standard deviation (N,) mm of either axis there."""
        k = self._kernel(xy)
        variance = self.size**2 - np.einsum("ij,jk,ik->i", k, self.inverse, k)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)), dtype=np.float64)

    def _kernel(self, xy: Array) -> Array:
        d2 = ((xy[:, None, :] - self.at[None, :, :]) ** 2).sum(axis=-1)
        kernel: Array = self.size**2 * np.exp(-0.5 * d2 / self.length**2)
        return kernel


@dataclass(frozen=True, eq=False)
class PageFit:
    """The fitted map. ``rms_mm`` the known points' residual (per point, both axes)."""

    model: Fitted
    smooth: Smooth | None
    pairs: Pairs
    rms_mm: float
    px_per_mm: float

    def px(self, xy: Array) -> Array:
        """Pixels (N, 2) of page points (N, 2) mm."""
        points = np.asarray(xy, dtype=np.float64)
        return self.model.px(points if self.smooth is None else points + self.smooth.shift(points))

    def spread_mm(self, xy: Array) -> Array:
        """Standard uncertainty (N,) mm of the map at page points."""
        points = np.asarray(xy, dtype=np.float64)
        from_model = self.model.spread(points) / self.px_per_mm
        if self.smooth is None:
            return from_model
        return np.hypot(from_model, self.smooth.spread(points))

    @property
    def is_flat(self) -> bool:
        """Whether the page lies as on a scanner: no perspective, lens or bend."""
        return self.model.family.kind == "affine"

    @property
    def as_scanned(self) -> bool:
        """Whether the page may have lain on a scanner or gone through its feeder: an affine map
        leaves less than `_AS_SCANNED_MM`. Evidence for a homography is no evidence of a camera: a
        feeder's wobble can look like a trace of perspective."""
        if self.is_flat:
            return True
        terms = np.column_stack((self.pairs.xy, np.ones(len(self.pairs.xy))))
        map_ = np.linalg.lstsq(terms, self.pairs.px, rcond=None)[0]
        left = (terms @ map_ - self.pairs.px) / self.px_per_mm
        return math.sqrt(float((left**2).sum(axis=1).mean())) < _AS_SCANNED_MM


def fit_page(
    setting: Setting, pairs: Pairs, *, smooth: bool = True, warm: PageFit | None = None
) -> PageFit | None:
    """The best map for the known points; None where they do not fix one.

    Points that no smooth map explains are dropped first. ``warm`` is an earlier fit to fewer
    points, near which a bend is looked for.
    """
    start = models.flat_start(setting, pairs.xy, pairs.px)
    if start is None:
        return None
    model, kept = _trimmed(setting, start, pairs, None if warm is None else warm.model)
    scale = _px_per_mm(model, setting)
    left = _in_mm(model, kept)
    rough = math.sqrt(float((left**2).sum(axis=1).mean()))
    wanted = smooth and rough > _NOTHING_LEFT_MM
    process = _smoothed(kept, left, kept.sigma / scale) if wanted else None
    rest = left if process is None else left - process.shift(kept.xy)
    rms = math.sqrt(float((rest**2).sum(axis=1).mean()))
    return PageFit(model, process, kept, rms, scale)


def _trimmed(
    setting: Setting, start: Array, pairs: Pairs, warm: Fitted | None
) -> tuple[Fitted, Pairs]:
    """The chosen model after dropping points far from it, at most three times."""
    kept = pairs
    model = _chosen(setting, start, kept, warm)
    for _ in range(3):
        off = np.hypot(*_in_mm(model, kept).T)
        least = _GATE_MM if len(kept) >= _MANY else _WIDE_GATE_MM
        limit = max(least, 4.5 * 1.4826 * float(np.median(off)))
        good = off < limit
        if good.all() or good.sum() < 8:
            break
        kept = kept.only(good)
        model = _chosen(setting, start, kept, model)
    return model, kept


def _chosen(setting: Setting, start: Array, pairs: Pairs, warm: Fitted | None) -> Fitted:
    """Affine, homography, lens or bend: the least Bayesian information criterion."""
    flat = models.fit(Flat(setting, "homography"), start, *_parts(pairs))
    affine = models.fit(Flat(setting, "affine"), flat.parameters[:6], *_parts(pairs))
    found = [affine, flat]
    if _rms_mm(flat, pairs) > GOOD_FLAT_MM and len(pairs) >= 12:
        found += _cameras(setting, flat, pairs, warm)
    return min(found, key=lambda f: _information(f, pairs))


def _cameras(
    setting: Setting, flat: Fitted, pairs: Pairs, warm: Fitted | None
) -> tuple[Fitted, Fitted]:
    """Lens without and with a bend: from ``warm`` if that is bent, else from eight starts,
    the two best of which after a few steps are carried on."""
    scale = _px_per_mm(flat, setting)
    parts = (pairs.xy, pairs.px, np.hypot(pairs.sigma, _UNBENDABLE_MM * scale))
    pose = models.camera_start(setting, flat.parameters)
    lens = models.fit(Camera(setting, "lens"), pose, *parts)
    family = Camera(setting, "bend", models.BENDS if len(pairs) >= _MANY else _FEW_BENDS)
    if warm is not None and isinstance(warm.family, Camera) and warm.family.kind == "bend":
        more = np.zeros(max(0, family.bends - warm.family.bends))
        start = np.concatenate((warm.parameters, more))[: 9 + family.bends]
        return lens, models.fit(family, start, *parts)
    rough = []
    for direction in (0.0, 0.25 * math.pi, 0.5 * math.pi, 0.75 * math.pi):
        for lift in (0.06, -0.06):
            bent = [lift, *([0.0] * (family.bends - 1))]
            start = np.array([*lens.parameters, direction, *bent])
            rough.append(models.fit(family, start, *parts, steps=4))
    rough.sort(key=lambda f: f.cost)
    bends = [models.fit(family, f.parameters, *parts) for f in rough[:2]]
    return lens, min(bends, key=lambda f: f.cost)


def _information(model: Fitted, pairs: Pairs) -> float:
    """BIC with the noise unknown, never below a fifth of the stated sigma."""
    n = 2 * len(pairs)
    chi2 = float(((model.residual / pairs.sigma[:, None]) ** 2).sum()) / n
    return n * math.log(max(chi2, 0.04)) + model.free * math.log(n)


def _parts(pairs: Pairs) -> tuple[Array, Array, Array]:
    return pairs.xy, pairs.px, pairs.sigma


def _in_mm(model: Fitted, pairs: Pairs) -> Array:
    """Residuals (N, 2) on the page: how far each point must move for the model to meet it."""
    residual = pairs.px - model.px(pairs.xy)
    solved = np.linalg.solve(model.jacobian(pairs.xy), residual[:, :, None])[:, :, 0]
    return np.asarray(solved, dtype=np.float64)


def _rms_mm(model: Fitted, pairs: Pairs) -> float:
    return math.sqrt(float((_in_mm(model, pairs) ** 2).sum(axis=1).mean()))


def _px_per_mm(model: Fitted, setting: Setting) -> float:
    middle = np.array([[setting.width / 2, setting.height / 2]])
    return math.sqrt(abs(float(np.linalg.det(model.jacobian(middle))[0])))


def _smoothed(pairs: Pairs, left: Array, sigma: Array) -> Smooth | None:
    """The Gaussian process of greatest marginal likelihood; None where noise explains all.

    The points' noise is free too, from the stated sigma to eight times that. For each
    length one eigendecomposition serves every size and noise.
    """
    d2 = ((pairs.xy[:, None, :] - pairs.xy[None, :, :]) ** 2).sum(axis=-1)
    white = left / sigma[:, None]
    best: tuple[float, float, float, Array] | None = None
    least = min(_loss(white, np.full(len(white), noise**2)) for noise in _NOISES) - _ENTRANCE
    for length in _LENGTHS:
        kernel = np.exp(-0.5 * d2 / length**2) / np.outer(sigma, sigma)
        values, vectors = np.linalg.eigh(kernel)
        turned = vectors.T @ white
        for size in _SIZES:
            for noise in _NOISES:
                variance = size**2 * np.maximum(values, 0.0) + noise**2
                loss = _loss(turned, variance)
                if loss < least:
                    least = loss
                    half = vectors / np.sqrt(variance) / sigma[:, None]
                    best = (size, length, noise, np.asarray(half, dtype=np.float64))
    if best is None:
        return None
    size, length, _, half = best
    inverse = half @ half.T
    return Smooth(pairs.xy, inverse @ left, inverse, length, size)


def _loss(turned: Array, variance: Array) -> float:
    """Twice the negative log likelihood of two columns with these variances."""
    return float((turned**2 / variance[:, None]).sum() + 2.0 * np.log(variance).sum())
