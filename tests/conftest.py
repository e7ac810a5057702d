"""Tests that need another program are skipped by name, with the reason, where it is missing."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")  # as the command line does; read when numpy loads


@cache
def why_no_chromium() -> str | None:
    if shutil.which("chromium") or shutil.which("chromium-browser"):
        if importlib.util.find_spec("playwright") is None:
            return "playwright is not installed (pip install playwright)"
        return None
    return "chromium is not installed (Debian: apt-get install chromium)"


def axe_core() -> Path:
    """Where axe-core is, if it is there: AXE_CORE, or as npm installs it beside the project."""
    beside = Path(__file__).parent.parent / "node_modules/axe-core/axe.min.js"
    return Path(os.environ.get("AXE_CORE", beside))


@cache
def why_no_axe() -> str | None:
    if axe_core().is_file():
        return None
    return f"axe-core is not at {axe_core()} (npm install --no-save axe-core, or set AXE_CORE)"


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


NEEDS = {
    "axe": why_no_axe,
    "chromium": why_no_chromium,
    "qpdf": why_no_qpdf,
    "wheel": why_no_wheel,
}


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, why_not in NEEDS.items():
        if item.get_closest_marker(marker) and (reason := why_not()):
            pytest.skip(f"{item.nodeid}: {reason}")


FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's chromium, headless, driven by Playwright: one for all rooms, because a process can
    hold only one of its loops."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=program, args=list(FLAGS))
        yield running
        running.close()
