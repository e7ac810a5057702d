"""Accepting scans: whole or not at all, once for the same bytes, many clients at once."""

from __future__ import annotations

import hashlib
import os
import tracemalloc
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millimark.errors import RecordsError, SourceError
from millimark.records import queue, uploads

from .conftest import World, rows


def test_the_same_bytes_are_one_upload(world: World) -> None:
    first = uploads.accept(world.store, world.printing_id, "a.pdf", [b"12", b"34"])
    again = uploads.accept(world.store, world.printing_id, "b.pdf", [b"1234"])
    assert (again.upload_id, again.again, first.again) == (first.upload_id, True, False)
    assert first.sha256 == hashlib.sha256(b"1234").hexdigest()
    assert world.store.upload_file(first.sha256).read_bytes() == b"1234"
    assert os.listdir(world.store.incoming) == []


def test_a_refused_file_leaves_nothing(world: World) -> None:
    before = rows(world.store, "uploads")
    with pytest.raises(SourceError, match="empty"):
        uploads.accept(world.store, world.printing_id, "a.pdf", [b"", b""])
    with pytest.raises(SourceError, match="larger"):
        uploads.accept(world.store, world.printing_id, "a.pdf", [b"12345"] * 3, most=10)
    with pytest.raises(RecordsError, match="no print run"):
        uploads.accept(world.store, 99, "a.pdf", [b"1"])

    def broken() -> Iterator[bytes]:
        yield b"half"
        raise ConnectionResetError

    with pytest.raises(RecordsError):
        uploads.accept(world.store, world.printing_id, "a.pdf", broken())
    assert rows(world.store, "uploads") == before
    assert os.listdir(world.store.incoming) == []


def test_twenty_clients_at_once_in_little_memory(world: World) -> None:
    before, size = rows(world.store, "uploads"), 3_000_000

    def send(client: int) -> uploads.Accepted:
        body = (bytes([client % 10]) * 100_000 for _ in range(size // 100_000))
        return uploads.accept(world.store, world.printing_id, f"{client}.pdf", body)

    tracemalloc.start()
    with ThreadPoolExecutor(20) as pool:
        accepted = list(pool.map(send, range(20)))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert rows(world.store, "uploads") == before + 10  # every body was sent by two clients
    assert sum(a.again for a in accepted) == 10
    assert {a.size for a in accepted} == {size}
    assert peak < 20 * size / 2


@given(st.text(max_size=300))
def test_a_senders_name_is_only_ever_text(name: str) -> None:
    shown = uploads.shown_name(name)
    assert 1 <= len(shown) <= 255
    assert shown.isprintable()
    assert not set(shown) & {"/", "\\", "\0", "\n"}


def test_a_name_like_a_path_touches_no_path(world: World, tmp_path: object) -> None:
    made = uploads.accept(world.store, world.printing_id, "../../../etc/cron.d/x", [b"abc"])
    with world.store.reading() as session:
        assert uploads.upload_of(session, made.upload_id).name == "x"
    assert world.store.upload_file(made.sha256).parent.parent == world.store.folder / "uploads"


def test_what_failed_is_tried_again_when_it_is_sent_again(world: World) -> None:
    with world.store.reading() as session:
        failed = [s for s in uploads.standings(session, world.printing_id)
                  if s.upload.state == "failed"]  # fmt: skip
        assert [f.upload.name for f in failed] == ["holiday.pdf"]
        assert failed[0].upload.reason is not None
        assert failed[0].upload.reason.startswith("holiday.pdf is not a PDF")
    uploads.accept(world.store, world.printing_id, "holiday.pdf", [b"not a scan"])
    with world.store.reading() as session:
        assert queue.busy(session) == 1


def test_half_received_files_are_swept(world: World) -> None:
    old, new = world.store.incoming / "old", world.store.incoming / "new"
    for file in (old, new):
        file.write_bytes(b"half")
    os.utime(old, (1, 1))
    assert uploads.sweep_incoming(world.store) == 1
    assert [p.name for p in world.store.incoming.iterdir()] == ["new"]
