"""The built wheel, installed into an empty environment, runs the demo.

Fonts, templates, grammars and schemas have to travel with it.
"""

from __future__ import annotations

import json
import os
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


@pytest.mark.wheel
def test_the_wheel_runs_the_demo_in_an_empty_environment(tmp_path: Path) -> None:
    ran(sys.executable, "-m", "build", "--wheel", "--outdir", tmp_path, ROOT, cwd=tmp_path)
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
