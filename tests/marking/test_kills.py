"""A batch that is stopped again and again, by Ctrl-C or outright, marks every page once.

``MILLIMARK_KILLS=10`` stops it ten times instead of twice.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest
from tests.marking.test_batch import PAPER, drawn

from millimark.marking.journal import FOLDER

KILLS = int(os.environ.get("MILLIMARK_KILLS", "2"))
PAGES = 5 * KILLS + 4
# Telling takes its time: the batch must not end before it can be stopped.
RUN = """\
import sys
import time
from pathlib import Path
from millimark.marking.batch import mark_batch
if __name__ == "__main__":
    told = open(sys.argv[4], "a")
    def tell(done, total, what):
        print(f"{done} {total} {what}", file=told, flush=True)
        time.sleep(0.15)
    mark_batch([Path(sys.argv[1])], Path(sys.argv[2]), Path(sys.argv[3]), progress=tell, jobs=2)
"""


def started(folder: Path, made: Path, told: Path) -> subprocess.Popen[bytes]:
    script = folder / "run.py"
    script.write_text(RUN, encoding="utf-8")
    args = [made / "scans", made / "layout.json", folder / "out", told]
    return subprocess.Popen(
        [sys.executable, str(script), *map(str, args)],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True,
    )  # fmt: skip


def pages(told: Path) -> list[str]:
    """Names of the pages that were marked, in the order in which they were."""
    lines = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    return [line.split(" ", 2)[2] for line in lines if ", page " in line]


@pytest.mark.skipif(os.name != "posix", reason="signals of other systems differ")
def test_a_batch_stopped_again_and_again_marks_every_page_once(tmp_path: Path) -> None:
    made = drawn(tmp_path / "made", PAPER, PAGES, 8)
    told, chance = tmp_path / "told", random.Random(5)
    for kill in range(KILLS):
        before = len(pages(told))
        process = started(tmp_path, made, told)
        wanted = before + chance.choice([1, 1, 2])
        until = time.monotonic() + 300.0
        while len(pages(told)) < wanted and process.poll() is None:
            assert time.monotonic() < until
            time.sleep(0.02)
        time.sleep(chance.uniform(0.0, 0.1))
        assert process.poll() is None, "the batch ended before it could be stopped"
        process.send_signal(signal.SIGINT if kill % 2 else signal.SIGKILL)
        _, said = process.communicate(timeout=60)
        assert not (tmp_path / "out" / "marks.json").exists()
        assert len(list((tmp_path / "out" / FOLDER).iterdir())) >= len(pages(told))
        assert b"Traceback" not in said or b"KeyboardInterrupt" in said
    process = started(tmp_path, made, told)
    process.communicate(timeout=600)
    assert process.returncode == 0
    counts = Counter(pages(told))
    assert max(counts.values()) == 1
    # One that was noted but not told when the stop came is in no line.
    assert PAGES - KILLS <= len(counts) <= PAGES
    marks = json.loads((tmp_path / "out" / "marks.json").read_text(encoding="utf-8"))
    assert [p["status"] for p in marks["pages"]] == ["read"] * PAGES
    assert not (tmp_path / "out" / FOLDER).exists()
