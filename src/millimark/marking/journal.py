"""What a stopped batch had already marked, so that the next run goes on where it ended.

One file for each page in a private folder beside the results; it goes when the batch is
complete. A page counts as done only if its file, its page, the layout and the stated
print scale are all the same as before.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import stat
from dataclasses import dataclass, fields
from pathlib import Path

from millimark import __version__
from millimark.marking.page import MarkedPage, Marker
from millimark.scan.reading import Unread
from millimark.scan.sources import PageRef

FOLDER = ".marking"
_VERSION = 1


@dataclass(frozen=True)
class Journal:
    """The private folder of one batch; ``None`` if it cannot be trusted or made."""

    folder: Path | None

    @staticmethod
    def beside(out: Path) -> Journal:
        """The journal in ``out``. It is used only if it belongs to this user alone: what is
        read back from it is trusted."""
        folder = out / FOLDER
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            state = folder.lstat()
        except OSError:
            return Journal(None)
        mine = not hasattr(os, "getuid") or state.st_uid == os.getuid()
        private = stat.S_ISDIR(state.st_mode) and (os.name == "nt" or not state.st_mode & 0o077)
        return Journal(folder if mine and private else None)

    def find(self, marker: Marker, ref: PageRef) -> MarkedPage | Unread | None:
        """What an earlier run made of this page; None if it did not get to it."""
        place = self._place(marker, ref)
        if place is None or not place.is_file():
            return None
        try:
            found = pickle.loads(place.read_bytes())
        except (pickle.UnpicklingError, EOFError, AttributeError, ImportError, IndexError):
            return None
        return found if isinstance(found, MarkedPage | Unread) else None

    def keep(self, marker: Marker, ref: PageRef, outcome: MarkedPage | Unread) -> None:
        """Note what was made of a page: whole or not at all. On a full disk it is not noted, and
        done again next time."""
        place = self._place(marker, ref)
        if place is None:
            return
        part = place.with_suffix(".part")
        with contextlib.suppress(OSError):
            part.write_bytes(pickle.dumps(outcome))
            part.replace(place)

    def close(self) -> None:
        """Take the folder away: the batch is complete."""
        if self.folder is None:
            return
        for file in self.folder.iterdir():
            file.unlink()
        self.folder.rmdir()

    def _place(self, marker: Marker, ref: PageRef) -> Path | None:
        if self.folder is None:
            return None
        try:
            scan, layout = ref.path.stat(), marker.layout_path.stat()
        except OSError:
            return None
        what = (
            _VERSION,
            __version__,
            str(ref.path.resolve()),
            ref.page,
            scan.st_size,
            scan.st_mtime_ns,
            layout.st_size,
            layout.st_mtime_ns,
            marker,
            tuple(f.name for f in fields(MarkedPage)),
        )
        return self.folder / hashlib.sha256(repr(what).encode()).hexdigest()[:32]
