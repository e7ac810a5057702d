"""Tests that need another program are skipped by name, with the reason, where it is missing."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

import pytest

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")  # as the command line does; read when numpy loads


@cache
def why_no_chromium() -> str | None:
    if shutil.which("chromium") or shutil.which("chromium-browser"):
        return None
    return "chromium is not installed (Debian: apt-get install chromium)"


@cache
def why_no_qpdf() -> str | None:
    if shutil.which("qpdf"):
        return None
    return "qpdf is not installed (Debian: apt-get install qpdf)"


@cache
def why_no_wheel() -> str | None:
    """A reason if pip cannot fetch what building the wheel needs, asked once."""
    with tempfile.TemporaryDirectory() as place:
        ask = ["-m", "pip", "download", "--quiet", "--no-deps", "--dest", place, "setuptools>=77"]
        asked = subprocess.run(
            [sys.executable, *ask],
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        if asked.returncode == 0 and any(Path(place).iterdir()):
            return None
    return "pip cannot reach a package index from here, so nothing can be installed"


NEEDS = {"chromium": why_no_chromium, "qpdf": why_no_qpdf, "wheel": why_no_wheel}


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, why_not in NEEDS.items():
        if item.get_closest_marker(marker) and (reason := why_not()):
            pytest.skip(f"{item.nodeid}: {reason}")
