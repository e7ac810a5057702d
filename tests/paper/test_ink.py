"""What stands in a frame: curves that are drawn freehand are ink like any other."""

from __future__ import annotations

import numpy as np
import pytest

from millimark.paper.question_pages import plan_paper
from millimark.plane.conics import EllipseArc

from .papers import paper_of

ELLIPSE = {
    "given": ["A and B are 6 cm apart."],
    "ask": ["Draw the locus of points whose distances from A and B add up to 10 cm."],
    "marks": 2,
}
MM = 1e-6


def test_a_plotted_curve_is_part_of_the_model_answer() -> None:
    """Its two distances add up to 100 mm on the page, all the way round."""
    (drawn,) = plan_paper(paper_of(ELLIPSE), "").drawn
    at = dict(drawn.ink.points)
    a, b = (np.array([at[name].x, at[name].y]) for name in "AB")
    curves = [c for c in drawn.ink.answer if isinstance(c, EllipseArc)]
    assert sum(c.length for c in curves) > 250.0
    for curve in curves:
        xy = curve.sampled(0.05)
        both = np.hypot(*(xy - a).T) + np.hypot(*(xy - b).T)
        assert both == pytest.approx(np.full(len(xy), 100.0), abs=MM)
