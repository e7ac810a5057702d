"""The project's look: one home for colours, line weights and lettering heights.

Line weights follow ISO 128's series (0.13 to 2 mm by sqrt 2), lettering heights
ISO 3098's (1.8, 2.5, 3.5, 5, 7 mm); both series quoted from memory. Colours are chosen
for 4.5:1 contrast on white where they carry text and never stand alone for a meaning.
"""

from __future__ import annotations

# Colours -------------------------------------------------------------------------------
INK = "#16202e"  # print and text: a blue black
RULE = "#8a95a3"  # frames, rules, faint print
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
