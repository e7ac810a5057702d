"""What reading a page gives: the registered page and its pencil, or a reason why not.

Images have pixel centres at integer coordinates, origin top-left. Everything else is in
page millimetres (x right, y down) at the size in the PDF.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from millimark.sheet.layout import PageMap, SheetMap

ScaleSource = Literal["scanner", "stated", "batch", "paper", "assumed"]
"""Who says how large the page was printed; "paper": the sheet's own edges in a photograph."""


def _in_unicode(text: str) -> str:
    """The text with '?' for what a file name held that is not Unicode: it is written to files."""
    return text.encode("utf-8", "replace").decode("utf-8")


@dataclass(frozen=True)
class Source:
    """Where a page image came from: file name and page within it (from 1)."""

    name: str
    page: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", _in_unicode(self.name))


@dataclass(frozen=True)
class Unread:
    """A page that could not be read. ``reason`` is one sentence for a teacher; ``picture`` the
    page to look at as a JPEG, empty where it could not even be opened."""

    source: Source
    reason: str
    picture: bytes = field(default=b"", repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "reason", _in_unicode(self.reason))


@dataclass(frozen=True, eq=False)
class Stroke:
    """One pencil stroke: centre line ``xy`` (N, 2) float64 page mm in drawn order or either,
    ``width`` (N,) mm, ``darkness`` (N,) 0 (paper) to 1 (black), ``sigma`` (N,) mm the
    standard uncertainty of the centre across the line, registration not included."""

    xy: NDArray[np.float64]
    width: NDArray[np.float64]
    darkness: NDArray[np.float64]
    sigma: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class FrameReading:
    """The pencil inside one answer frame.

    ``strokes``: centre lines found. ``picture`` (H, W) uint8: the frame rectified to page
    millimetres at ``px_per_mm``; the centre of its pixel (0, 0) lies half a pixel inside
    the frame's top-left corner. ``pencil`` (H, W) float32: pencil darkness 0..1 with print,
    grain and shadow removed.
    ``unseen`` (H, W) bool: where print hides what the pencil did. ``toned`` (H, W) bool:
    where a photograph shows an even grey, without strokes or grain to prove that it is no shadow
    but for its sharp outline; None or nowhere on a scan, whose light is even.
    """

    question: str
    strokes: tuple[Stroke, ...]
    picture: NDArray[np.uint8]
    pencil: NDArray[np.float32]
    unseen: NDArray[np.bool_]
    px_per_mm: float
    toned: NDArray[np.bool_] | None = None


@dataclass(frozen=True, eq=False)
class PageReading:
    """A page that was read.

    ``print_scale`` is paper mm per page mm; ``scale_sigma`` its standard uncertainty;
    ``registration_mm`` the rms residual of the page map; ``map_sigma_mm`` its own
    standard uncertainty inside the frames. ``picture`` is the whole page straightened, for
    people to look at, or None. ``two_tone`` is a black-and-white scan, on which pale pencil
    and light shading leave no trace.
    """

    source: Source
    sheet: SheetMap
    page: PageMap
    print_scale: float
    print_scale_source: ScaleSource
    scale_sigma: float
    registration_mm: float
    map_sigma_mm: float
    frames: tuple[FrameReading, ...]
    picture: NDArray[np.uint8] | None = None
    two_tone: bool = False
