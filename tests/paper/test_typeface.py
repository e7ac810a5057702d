"""Names that the typeface cannot show are left for the pupil, and said."""

from __future__ import annotations

from pathlib import Path

import pytest

from millimark.cli.door import run
from millimark.paper.typeface import unshown

PAPER = """\
title: One
questions:
  - given: [A and B are 8 cm apart.]
    ask: [Draw the locus of points that are 3 cm from A.]
"""


def test_only_names_without_shapes_are_told() -> None:
    assert unshown(["Ada", None, "Zoë Ångström", "李小龙"]) == {"李小龙": "李"}


def test_printing_says_which_name_is_left_to_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "p.yaml").write_text(PAPER, encoding="utf-8")
    (tmp_path / "c.csv").write_text("name\nAda\n李小龙\n", encoding="utf-8")
    where = [str(tmp_path / "p.yaml"), "--class", str(tmp_path / "c.csv")]
    assert run(["print", *where, "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().err
    assert "no shape for '李' in the name 李小龙" in said
    assert "Ada" not in said
