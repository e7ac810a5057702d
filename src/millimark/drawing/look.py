"""The project's look: one home for colours, line weights and lettering heights.

Line weights follow ISO 128's series (0.13 to 2 mm by sqrt 2), lettering heights
ISO 3098's (1.8, 2.5, 3.5, 5, 7 mm); both series quoted from memory. Colours that carry
text keep 4.5:1 contrast on white (WCAG 2.2) and none stands alone for a meaning: what is
answer, construction or tolerance is also told by weight, dashes and words, so that a
black and white copy says the same.
"""

from __future__ import annotations

from millimark.drawing.canvas import Lettering, Paint, Pen

# Colours -------------------------------------------------------------------------------
INK = "#16202e"  # print and text: a blue black
SLATE = "#56616f"  # quiet text
RULE = "#8a95a3"  # frames, rules
PALE = "#b4bcc6"  # pale registration dots
PLUM = "#7a2e57"  # the answer, and headings
MOSS = "#3d6b35"  # a mark awarded
RUST = "#a8441a"  # a mark withheld, a fault
STEEL = "#2f5f86"  # what was measured; construction arcs; for the teacher
STRAW = "#f3e9cf"  # tolerance bands and tinted ground
PAPER = "#ffffff"

# Line weights, mm ----------------------------------------------------------------------
HAIR, FINE, THIN, MEDIUM, BOLD, HEAVY = 0.13, 0.18, 0.25, 0.35, 0.5, 0.7

# Lettering, mm of cap height --------------------------------------------------------------
SMALL, BODY, LABEL, TITLE = 1.8, 2.5, 3.5, 5.0

# Pens --------------------------------------------------------------------------------------
GIVEN_PEN = Pen(MEDIUM, INK)  # the printed figure
CROSS_PEN = Pen(THIN, INK)  # a labelled point
FRAME_PEN = Pen(FINE, RULE)  # the answer frame
ANSWER_PEN = Pen(BOLD, PLUM)  # the answer
WORKING_PEN = Pen(FINE, STEEL)  # construction arcs and lines
BAND_EDGE_PEN = Pen(FINE, PLUM, dash=(2.4, 1.0))  # the edge of a tolerance band
REGION_PAINT = Paint(PLUM, opacity=0.55, hatch_mm=2.5, hatch_deg=45.0)
BAND_PAINT = Paint(STRAW, opacity=0.85)

# Letterings ---------------------------------------------------------------------------------
POINT_LABEL = Lettering(LABEL, INK, anchor="middle")
CAPTION = Lettering(SMALL, SLATE)
