"""The built wheel, installed into an empty environment, runs the demo.

Fonts, templates, grammars and schemas have to travel with it.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def ran(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """What a program did, far from the checkout; its whole output if it failed."""
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "COV_"))}
    done = subprocess.run(
        [str(word) for word in words],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done


def copied_source(place: Path) -> Path:
    """The sources alone, so that nothing left by an earlier build gets into the wheel."""
    place.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, place / name)
    shutil.copytree(
        ROOT / "src", place / "src", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info")
    )
    return place


@pytest.mark.wheel
def test_the_wheel_runs_the_demo_in_an_empty_environment(tmp_path: Path) -> None:
    source = copied_source(tmp_path / "source")
    ran(sys.executable, "-m", "build", "--wheel", "--outdir", tmp_path, source, cwd=tmp_path)
    (wheel,) = tmp_path.glob("millimark-*.whl")
    venv.create(tmp_path / "empty", with_pip=True)
    python = tmp_path / "empty" / "bin" / "python"
    pins = ROOT / "requirements" / "run.txt"
    ran(python, "-m", "pip", "install", "-q", "-c", pins, wheel, cwd=tmp_path)

    where = ran(python, "-c", "import millimark; print(millimark.__file__)", cwd=tmp_path)
    assert str(tmp_path) in where.stdout, "the checkout was imported, not the wheel"
    shown = ran(python.parent / "millimark", "demo", "--out", "made", cwd=tmp_path)
    assert "annotated.pdf" in shown.stdout
    marks = json.loads((tmp_path / "made" / "marks.json").read_text())
    assert len(marks["scripts"]) == 12
    assert all(page["status"] == "read" for page in marks["pages"])
