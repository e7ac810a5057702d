"""The demonstration as an MP4 film, with the optional extra ``millimark[film]``.

The encoder comes with the package imageio-ffmpeg (its program is under the GPL and is not part
of ours); frames are typeset to pixels by Typst and handed over as PNG, one after the other.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable, Iterator
from importlib import import_module, resources
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import typst

from millimark.errors import SourceError
from millimark.showing.picture import frame
from millimark.showing.score import Score
from millimark.showing.stage import Stage

RATE = 15  # frames a second
HEIGHT = 960  # pixels
Progress = Callable[[int, int, str], None]


def film(
    stage: Stage, score: Score, path: Path, rate: int = RATE, progress: Progress | None = None
) -> Path:
    """Write the film. SourceError where the extra is not installed or the encoder fails."""
    program = encoder()
    count = int(score.length * rate) + 1
    with tempfile.TemporaryFile() as said:
        with subprocess.Popen(
            [program, *_options(rate), str(path)], stdin=subprocess.PIPE, stderr=said
        ) as work:
            whole = _feed(work, _pictures(stage, score, rate, count, progress))
        said.seek(0)
        told = said.read().decode(errors="replace").strip().splitlines()
    if work.returncode != 0 or not whole:
        reason = told[-1] if told else "it gave no reason"
        raise SourceError(f"The encoder could not write '{path}': {reason}.", "Try another folder.")
    return path


def encoder() -> str:
    """The encoder's program. SourceError where the extra ``film`` is not installed."""
    if find_spec("imageio_ffmpeg") is None:
        raise SourceError(
            "A film needs an encoder that is not installed.",
            "Install the extra: pip install 'millimark[film]'.",
        )
    return str(import_module("imageio_ffmpeg").get_ffmpeg_exe())


def _options(rate: int) -> list[str]:
    """PNG pictures in; H.264 out, sides made even, as every player reads it."""
    return [
        "-y", "-loglevel", "error", "-f", "image2pipe", "-framerate", str(rate), "-i", "-",
        "-vf", "crop=trunc(iw/2)*2:trunc(ih/2)*2", "-pix_fmt", "yuv420p", "-movflags", "+faststart",
    ]  # fmt: skip


def _feed(work: subprocess.Popen[bytes], pictures: Iterator[bytes]) -> bool:
    """Whether the encoder took all pictures; it closes its end where it cannot go on."""
    if work.stdin is None:
        return False
    try:
        for picture in pictures:
            work.stdin.write(picture)
        work.stdin.close()
    except BrokenPipeError:
        return False
    return True


def _pictures(
    stage: Stage, score: Score, rate: int, count: int, progress: Progress | None
) -> Iterator[bytes]:
    fonts = str(resources.files("millimark") / "fonts")
    compiler: Any = typst.Compiler(font_paths=[fonts], ignore_system_fonts=True)
    x0, y0, x1, y1 = stage.box
    ppi = HEIGHT * 25.4 / (y1 - y0)
    page = f"#set page(width:{x1 - x0}mm,height:{y1 - y0}mm,margin:0mm)\n"
    main = (page + '#image("frame.svg", width: 100%)').encode()
    for k in range(count):
        if progress:
            progress(k, count, "film")
        svg = frame(stage, score, min(k / rate, score.length)).encode()
        files = {"main.typ": main, "frame.svg": svg}
        yield compiler.compile(files, format="png", ppi=ppi)
