"""Write the outputs of README.md's console sessions again (`make docs`).

Sessions of `solve` and `check` show what the command prints; the others show none.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import tempfile
from pathlib import Path

from millimark.cli.door import run

README = Path(__file__).resolve().parent.parent / "README.md"
SHOWN = ("solve", "check")
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def output_of(line: str) -> str:
    """What a session's command prints; its message where it prints nothing else."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        run(shlex.split(line)[1:])
    return (out.getvalue() or err.getvalue()).strip("\n")


def filled(block: re.Match[str]) -> str:
    """The block with its commands' outputs."""
    lines = []
    for line in re.findall(r"^\$ (.*)$", block[1], re.MULTILINE):
        lines.append(f"$ {line}")
        if line.split()[1] in SHOWN:
            lines.append(output_of(line))
    return "```console\n" + "\n".join(lines) + "\n```"


def main() -> None:
    text = README.read_text(encoding="utf-8")
    (paper,) = re.findall(r"^```yaml\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "beacons.yaml").write_text(paper, encoding="utf-8")
        os.environ["COLUMNS"] = "110"
        os.chdir(place)
        text = BLOCK.sub(filled, text)
        os.chdir(README.parent)
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
