"""Access: large print, tinted grounds, left-handed layouts.

Lengths are never scaled: large print sets words, labels and lines larger and leaves the
drawing at the size that its words name, so that what is asked can still be measured.
"""

from __future__ import annotations

from dataclasses import dataclass

from millimark.drawing.canvas import Lettering, Pen
from millimark.drawing.lettering import CAP_HEIGHT
from millimark.drawing.look import BODY, BOLD, CROSS_PEN, GIVEN_PEN, HEAVY, INK, LABEL, MEDIUM
from millimark.paper.fields import Field

MM_PER_PT = 25.4 / 72
USUAL, LARGE, LARGER = "usual", "18 pt", "24 pt"
TEXTS = (USUAL, LARGE, LARGER)
GROUNDS = {
    "white": "#ffffff",
    "cream": "#fbf4dd",
    "blue": "#e4eff8",
    "green": "#e7f3e3",
    "rose": "#faeaee",
    "grey": "#f0f0f0",
}  # ink on each keeps more than 12:1 contrast (WCAG 2.2 asks for 4.5:1)
HANDS = ("right", "left")


@dataclass(frozen=True)
class Access:
    """How a paper is set for its readers: size of print, colour of the ground, hand."""

    text: str = USUAL
    ground: str = "white"
    left_handed: bool = False

    @property
    def large(self) -> bool:
        """Whether this is large print."""
        return self.text != USUAL

    @property
    def body(self) -> float:
        """Cap height of the words, mm."""
        if not self.large:
            return BODY
        return float(self.text.split()[0]) * MM_PER_PT * CAP_HEIGHT

    @property
    def label(self) -> Lettering:
        """The lettering of labelled points."""
        return Lettering(max(LABEL, 1.1 * self.body), INK, anchor="middle")

    @property
    def given(self) -> Pen:
        """The pen of the printed figure."""
        return {USUAL: GIVEN_PEN, LARGE: Pen(BOLD, INK), LARGER: Pen(HEAVY, INK)}[self.text]

    @property
    def cross(self) -> Pen:
        """The pen of the crosses at labelled points."""
        return {USUAL: CROSS_PEN, LARGE: Pen(MEDIUM, INK), LARGER: Pen(BOLD, INK)}[self.text]

    @property
    def ground_colour(self) -> str:
        """The page's colour, '#rrggbb'."""
        return GROUNDS[self.ground]


def read_access(field: Field | None) -> Access:
    """The access of a paper's field; the usual where it says nothing."""
    if field is None:
        return Access()
    fields = field.fields(("text", "ground", "hand"))
    return Access(
        text=fields["text"].one_of(TEXTS) if "text" in fields else USUAL,
        ground=fields["ground"].one_of(GROUNDS) if "ground" in fields else "white",
        left_handed="hand" in fields and fields["hand"].one_of(HANDS) == "left",
    )
