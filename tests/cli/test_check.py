"""millimark check: what the odds count, and what they leave out."""

from __future__ import annotations

import json
from pathlib import Path

from .conftest import Command

PAPER = """\
title: Odds
instruments: {ruler: 30 cm, compasses: 12 cm, protractor: true}
questions:
  - given:
      - Angle GHK is 50°.
    ask:
      - Draw the locus of points that are the same distance from HG as from HK.
    marks: 2
  - given:
      - A and B are 8 cm apart.
    ask:
      - >-
        Draw the locus of a point on the rim of a wheel of radius 1 cm that rolls from A
        towards B for 1 turn.
    marks: 2
"""


def test_odds_name_both_tolerances_and_what_they_leave_out(
    tmp_path: Path, command: Command
) -> None:
    paper = tmp_path / "paper.yaml"
    paper.write_text(PAPER, encoding="utf-8")
    ran = command("check", paper)
    assert ran.code == 0
    first, second = ran.out.split("Question 2")
    assert "stay within 2 mm and 2°" in first
    assert "hands stay within" not in second
    assert "not judged" in second
    asked = json.loads(command("check", paper, "--json").out)
    assert asked["questions"][0]["fairness"]["not_judged"] == []
    assert asked["questions"][1]["fairness"]["not_judged"]
