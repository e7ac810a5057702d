"""Page sizes and what each page keeps free: page millimetres, origin top-left, y down."""

from __future__ import annotations

from dataclasses import dataclass

SIDE = 17.0  # mm from the page's edge to text and frames: clear of the marks' quiet zones
HEAD = 27.0  # mm from the top edge to the first question
FOOT = 26.0  # mm from the bottom edge to the last frame
CODE_SIDE = 12.0  # mm, the page code without its quiet zone
CODE_QUIET = 4 * CODE_SIDE / 25  # four modules of a version 2 symbol
CODE_EDGE = 6.2  # mm from the page's edge to a code's quiet zone
RULE_LENGTH = 100.0  # mm, the check rule
RULE_DROP = 20.5  # mm from the bottom edge up to the check rule

# ISO 216 for A3 and A4; Letter is 8.5 x 11 inches.
_UPRIGHT = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}
_SIZES = {**_UPRIGHT, **{f"{name} landscape": (h, w) for name, (w, h) in _UPRIGHT.items()}}
PAGE_NAMES = tuple(_SIZES)

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class PageFormat:
    """A page by name, with its width and height in mm."""

    name: str
    width: float
    height: float

    @property
    def content(self) -> Box:
        """Where questions and their frames may stand."""
        return (SIDE, HEAD, self.width - SIDE, self.height - FOOT)

    @property
    def code_boxes(self) -> tuple[Box, Box]:
        """The squares of the two page codes, quiet zones included: top right, bottom left."""
        whole = CODE_SIDE + 2 * CODE_QUIET
        right, bottom = self.width - SIDE, self.height - CODE_EDGE
        return (
            (right - whole, CODE_EDGE, right, CODE_EDGE + whole),
            (SIDE, bottom - whole, SIDE + whole, bottom),
        )

    @property
    def check_square(self) -> Box:
        """A square of 10 mm beside the check rule: it shows a page stretched one way."""
        x1, y0 = self.width - SIDE - 2.0, self.height - RULE_DROP - 3.0
        return (x1 - 10.0, y0, x1, y0 + 10.0)

    @property
    def check_rule(self) -> Box:
        """The ends (x0, y0) and (x1, y1) of the check rule."""
        x0 = (self.width - RULE_LENGTH) / 2
        y = self.height - RULE_DROP
        return (x0, y, x0 + RULE_LENGTH, y)


def page_format(name: str) -> PageFormat:
    """The format called ``name`` (one of PAGE_NAMES); KeyError for another."""
    width, height = _SIZES[name]
    return PageFormat(name, width, height)
