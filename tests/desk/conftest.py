"""A desk in this process, and one that Chromium visits."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from millimark.desk.application import make_app
from millimark.desk.hands import Hands
from millimark.desk.setting import Desk
from millimark.records.store import Store

HERE = "http://127.0.0.1:8017"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Records without a row."""
    opened = Store.open(tmp_path / "records")
    yield opened
    opened.close()


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    """A browser's requests to a desk on this machine, without a browser."""
    app = make_app(Desk(store, Hands(store)))
    with TestClient(app, base_url=HERE, headers={"origin": HERE}) as found:
        yield found
