"""A telephone's photograph of a sheet: tilt, lens, curl, shadow, colour cast, no resolution.

The sheet bends as paper does, without stretching: a general cylinder. Places on the sheet
are paper mm from its top-left corner. The photograph's map has no formula; it is kept as a
grid of places and their pixels.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from millimark.rehearsal.flatbed import GRAIN, PAPER_GREY, Capture, page_to_sheet
from millimark.rehearsal.pencil import Xy

Rng = np.random.Generator
LONG_SIDE, SHORT_SIDE = 4032, 3024
COARSE = 12
"""px between the places where the map is solved; linear in between (OpenCV's cubic does not
reproduce even a straight line), which costs under 0.001 mm on a gently bent sheet."""


@dataclass(frozen=True)
class Bend:
    """How the sheet bends (flat, cylinder, wave or corner) along ``direction`` (radians): its
    slope (radians) at distances
    from the middle is ``size`` times a shape."""

    kind: str
    direction: float
    size: float
    wavelength: float = 180.0
    phase: float = 0.0

    def profile(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Distance along the paper (mm), and the place and height that it takes there."""
        t = np.arange(-320.0, 320.5, 0.5)
        slope = np.zeros_like(t)
        if self.kind == "cylinder":
            slope = self.size * t / 100.0
        elif self.kind == "wave":
            slope = self.size * np.cos(2 * math.pi * t / self.wavelength + self.phase)
        elif self.kind == "corner":
            slope = self.size * np.clip(t - 95.0, 0, None) / 60.0
        slope = np.clip(slope, -0.9, 0.9)
        across = np.concatenate(([0.0], np.cumsum(np.cos(slope[1:] / 2 + slope[:-1] / 2)) * 0.5))
        height = np.concatenate(([0.0], np.cumsum(np.sin(slope[1:] / 2 + slope[:-1] / 2)) * 0.5))
        middle = len(t) // 2
        return t, across - across[middle], height - height[middle]


@dataclass(frozen=True)
class Pose:
    """The camera: tilt from the upright and its direction, roll (radians), distance (mm), how
    much of the picture the sheet fills, lens distortion (share at the picture's corner)."""

    tilt: float
    towards: float
    roll: float
    distance: float
    fills: float
    lens: float
    landscape: bool


@dataclass(frozen=True)
class Light:
    """Fall-off across the picture, depth of the hand's shadow, cast of each colour (R, G, B),
    blur (paper mm), noise (grey levels)."""

    falloff: float
    shadow: float
    cast: tuple[float, float, float]
    blur_mm: float
    noise: float


@dataclass(frozen=True)
class Shot:
    """One photograph's circumstances."""

    bend: Bend
    pose: Pose
    light: Light
    print_shift: tuple[float, float]


def aim(rng: Rng, upside_down: bool, hardest_tilt_deg: float = 30.0) -> Shot:
    """A hand-held photograph of a sheet on a desk."""
    kind = ("flat", "cylinder", "wave", "corner")[int(rng.choice(4, p=(0.35, 0.3, 0.2, 0.15)))]
    direction = float(rng.choice([0.0, math.pi / 2]) + rng.normal(0, 0.15))
    size = {"flat": 0.0, "cylinder": rng.uniform(0.03, 0.09) * rng.choice([1, -1]),
            "wave": rng.uniform(0.02, 0.06), "corner": rng.uniform(0.08, 0.25)}[kind]  # fmt: skip
    if kind == "corner":
        direction = float(rng.choice([0.96, -0.96, math.pi - 0.96, math.pi + 0.96]))
    bend = Bend(
        kind, direction, float(size), float(rng.uniform(140, 260)), float(rng.uniform(0, 6))
    )
    landscape = bool(rng.random() < 0.2)
    turns = math.pi * upside_down + (math.pi / 2 if landscape else 0.0)
    tilt = math.radians(min(abs(float(rng.normal(0, 0.45 * hardest_tilt_deg))), hardest_tilt_deg))
    pose = Pose(tilt, float(rng.uniform(0, 2 * math.pi)), turns + float(rng.normal(0, 0.04)),
                float(rng.uniform(380, 520)), float(rng.uniform(0.86, 0.94)),
                float(rng.uniform(-0.03, 0.015)), landscape)  # fmt: skip
    warm = float(rng.uniform(-0.1, 0.16))
    light = Light(float(rng.uniform(0.05, 0.3)), float(rng.choice([0.0, rng.uniform(0.15, 0.5)])),
                  (1.0, 1.0 - 0.4 * abs(warm), 1.0 - max(warm, 0.0)) if warm > 0
                  else (1.0 + warm, 1.0 + warm / 2, 1.0),
                  float(rng.uniform(0.04, 0.085)), float(rng.uniform(2.5, 5.0)))  # fmt: skip
    return Shot(bend, pose, light, (float(rng.normal(0, 0.5)), float(rng.normal(0, 0.5))))


class View:
    """The map from the sheet to the picture, forwards by formula, backwards by Newton."""

    def __init__(self, shot: Shot, size_mm: tuple[float, float]) -> None:
        self.bend, self.pose = shot.bend, shot.pose
        self.middle = np.array(size_mm) / 2
        self.size_mm = size_mm
        self.t, self.x, self.z = shot.bend.profile()
        wide = shot.pose.landscape
        self.shape = (SHORT_SIDE, LONG_SIDE) if wide else (LONG_SIDE, SHORT_SIDE)
        self.centre = np.array([self.shape[1] - 1, self.shape[0] - 1]) / 2
        self.focal, self.shift = 1.0, np.zeros(2)
        self._frame()

    def _frame(self) -> None:
        """Choose the focal length and aim so that the sheet fills its share of the picture."""
        w, h = self.size_mm
        edge = np.array([[x, y] for x in (0, w / 2, w) for y in (0, h / 2, h)], dtype=float)
        seen = self._plain(edge)
        low, high = seen.min(axis=0), seen.max(axis=0)
        room = np.array([self.shape[1], self.shape[0]]) * self.pose.fills
        self.focal = float((room / (high - low)).min())
        self.shift = (low + high) / 2

    def _plain(self, q: Xy) -> Xy:
        """Sheet mm (N, 2) to the picture plane at focal length 1, without the lens."""
        d = np.array([math.cos(self.bend.direction), math.sin(self.bend.direction)])
        e = np.array([-d[1], d[0]])
        away = q - self.middle
        t = away @ d
        flat = np.interp(t, self.t, self.x)[:, None] * d + (away @ e)[:, None] * e
        height = np.interp(t, self.t, self.z)
        axis = np.array([math.cos(self.pose.towards), math.sin(self.pose.towards)])
        across = np.array([-axis[1], axis[0]])
        u, v = flat @ axis, flat @ across
        c, s = math.cos(self.pose.tilt), math.sin(self.pose.tilt)
        depth = self.pose.distance - (u * s + height * c)
        turned = (u * c - height * s)[:, None] * axis + v[:, None] * across
        cr, sr = math.cos(self.pose.roll), math.sin(self.pose.roll)
        seen: Xy = (turned @ np.array([[cr, sr], [-sr, cr]])) / depth[:, None]
        return seen

    def __call__(self, q: Xy) -> Xy:
        """Pixels (N, 2) of places on the sheet (N, 2) mm."""
        p = (self._plain(q) - self.shift) * self.focal
        corner = float(self.centre @ self.centre)
        bent = 1.0 + self.pose.lens * (p**2).sum(axis=1) / corner
        px: Xy = p * bent[:, None] + self.centre
        return px

    def back(self, px: Xy) -> Xy:
        """Places on the sheet (N, 2) mm of pixels (N, 2); far off the sheet, roughly."""
        import cv2

        w, h = self.size_mm
        corners = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float64)
        first, _ = cv2.findHomography(self(corners), corners)
        q = np.asarray(cv2.perspectiveTransform(px[None], first)[0], dtype=np.float64)
        limit = np.array([120.0, 120.0])
        right, down = np.array([0.05, 0.0]), np.array([0.0, 0.05])
        for _ in range(6):
            q = np.clip(q, -limit, np.array(self.size_mm) + limit)
            off = px - self(q)
            jx = (self(q + right) - self(q - right)) / 0.1
            jy = (self(q + down) - self(q - down)) / 0.1
            det = jx[:, 0] * jy[:, 1] - jx[:, 1] * jy[:, 0]
            step_x = (off[:, 0] * jy[:, 1] - off[:, 1] * jy[:, 0]) / det
            step_y = (jx[:, 0] * off[:, 1] - jx[:, 1] * off[:, 0]) / det
            q = q + np.column_stack((step_x, step_y))
        return q


def photograph(
    page: NDArray[np.uint8],
    px_per_mm: float,
    size_mm: tuple[float, float],
    print_scale: float,
    shot: Shot,
    rng: Rng,
) -> Capture:
    """Photograph ``page`` (H, W) uint8 grey; the picture is (H, W, 3) RGB uint8."""
    import cv2

    view = View(shot, size_mm)
    to_sheet = page_to_sheet(size_mm, print_scale, shot.print_shift)
    map_x, map_y = _sheet_map(view)
    soft = cv2.GaussianBlur(page, (0, 0), shot.light.blur_mm * px_per_mm / print_scale)
    per = float(px_per_mm / print_scale)
    page_x = (map_x * per - (to_sheet[0, 2] * per + 0.5)).astype(np.float32)
    page_y = (map_y * per - (to_sheet[1, 2] * per + 0.5)).astype(np.float32)
    seen = cv2.remap(soft, page_x, page_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT,
                     borderValue=PAPER_GREY)  # fmt: skip
    scene = _desk(view.shape, rng)
    on = cv2.inRange(cv2.merge([map_x, map_y]), (0.0, 0.0), (float(size_mm[0]), float(size_mm[1])))
    cv2.copyTo(np.asarray(seen, dtype=np.uint8), on, scene)
    lit = cv2.multiply(scene, _lighting(view, shot.light, map_x, map_y, rng), dtype=cv2.CV_8U)
    image = _sensor(np.asarray(lit, dtype=np.uint8), shot.light, rng)
    nodes = _nodes(size_mm)
    return Capture(image, None, np.column_stack((nodes, view(_apply(to_sheet, nodes)))))


def _sheet_map(view: View) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Sheet mm seen by every pixel, (H, W) float32 each: solved on a coarse grid."""
    import cv2

    h, w = view.shape
    rows, cols = -(-h // COARSE) + 2, -(-w // COARSE) + 2
    # resize() puts coarse cell s at pixel COARSE (s + 1/2) - 1/2; one cell more on each side
    x, y = np.meshgrid(COARSE * (np.arange(cols) - 0.5) - 0.5,
                       COARSE * (np.arange(rows) - 0.5) - 0.5)  # fmt: skip
    q = view.back(np.column_stack((x.ravel(), y.ravel()))).astype(np.float32)
    maps = []
    for i in (0, 1):
        coarse = q[:, i].reshape(rows, cols)
        fine = cv2.resize(coarse, None, fx=COARSE, fy=COARSE, interpolation=cv2.INTER_LINEAR)
        cut = np.asarray(fine, dtype=np.float32)[COARSE : COARSE + h, COARSE : COARSE + w]
        maps.append(np.ascontiguousarray(cut))
    return maps[0], maps[1]


def _nodes(size_mm: tuple[float, float]) -> Xy:
    """Page places 10 mm apart, (N, 2)."""
    x, y = np.meshgrid(np.arange(5, size_mm[0], 10.0), np.arange(5, size_mm[1], 10.0))
    return np.column_stack((x.ravel(), y.ravel()))


def _apply(matrix: NDArray[np.float64], xy: Xy) -> Xy:
    return np.column_stack((xy, np.ones(len(xy)))) @ matrix[:2].T


def _desk(shape: tuple[int, int], rng: Rng) -> NDArray[np.uint8]:
    """A desk top: a mid tone with long grain."""
    import cv2

    rough = rng.uniform(70, 150) + 9 * rng.standard_normal((shape[0] // 8, shape[1] // 64))
    small = np.clip(rough, 0, 255).astype(np.uint8)
    grain = cv2.resize(small, (shape[1], shape[0]), interpolation=cv2.INTER_LINEAR)
    return np.asarray(grain, dtype=np.uint8)


def _lighting(
    view: View, light: Light, map_x: NDArray[np.float32], map_y: NDArray[np.float32], rng: Rng
) -> NDArray[np.float32]:
    """Brightness of every pixel: fall-off, the bend's own shading, and a hand's shadow."""
    import cv2

    small_x, small_y = map_x[::16, ::16], map_y[::16, ::16]
    direction = rng.uniform(0, 2 * math.pi)
    across = (small_x - 105) * math.cos(direction) + (small_y - 148) * math.sin(direction)
    level = 1.0 - light.falloff * (across / 360.0 + 0.5)
    t = (small_x - view.middle[0]) * math.cos(view.bend.direction) + (
        small_y - view.middle[1]
    ) * math.sin(view.bend.direction)
    slope = np.interp(t, view.t, np.gradient(view.z, view.t))
    level = level * (1.0 - 0.35 * slope)
    if light.shadow:
        level = level * (1.0 - light.shadow * _hand(small_x, small_y, rng))
    full = cv2.resize(level.astype(np.float32), (map_x.shape[1], map_x.shape[0]))
    return np.asarray(np.clip(full, 0.25, 1.06), dtype=np.float32)


def _hand(x: NDArray[np.float32], y: NDArray[np.float32], rng: Rng) -> NDArray[np.float64]:
    """0 to 1: how deep in the shadow of an arm and a head each place lies."""
    shade = np.zeros(x.shape)
    for _ in range(2):
        cx, cy = rng.uniform(20, 190), rng.uniform(60, 330)
        a = rng.uniform(0, math.pi)
        u = (x - cx) * math.cos(a) + (y - cy) * math.sin(a)
        v = -(x - cx) * math.sin(a) + (y - cy) * math.cos(a)
        edge = np.hypot(u / rng.uniform(60, 140), v / rng.uniform(30, 60))
        shade = np.maximum(
            shade, 1.0 / (1.0 + np.exp(np.minimum((edge - 1.0) * rng.uniform(6, 22), 60.0)))
        )
    return shade


def _sensor(scene: NDArray[np.uint8], light: Light, rng: Rng) -> NDArray[np.uint8]:
    """Sharpened as telephones do, tinted, with noise: (H, W, 3) RGB uint8."""
    import cv2

    h, w = scene.shape
    sharp = cv2.addWeighted(scene, 1.4, cv2.GaussianBlur(scene, (0, 0), 1.6), -0.4, 0.0)
    noise = rng.standard_normal((GRAIN, GRAIN), dtype=np.float32) * light.noise
    tile = np.clip(np.rint(noise), -60, 60).astype(np.int8)
    grain = np.tile(tile, (-(-h // GRAIN), -(-w // GRAIN)))[:h, :w]
    grainy = np.asarray(cv2.add(sharp, grain, dtype=cv2.CV_8U), dtype=np.uint8)
    levels = np.arange(256, dtype=np.float64)
    tints = [np.clip(np.rint(levels * c), 0, 255).astype(np.uint8) for c in light.cast]
    return np.asarray(cv2.merge([cv2.LUT(grainy, t) for t in tints]), dtype=np.uint8)
