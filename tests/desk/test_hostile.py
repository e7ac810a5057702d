"""What somebody might send to do harm: bombs, markup, sessions made beforehand."""

from __future__ import annotations

import io
import struct
import time
import zipfile
import zlib
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.desk.conftest import Marked, desk

from millimark.desk.password import keep_password
from millimark.records import papers, queue
from millimark.records.store import Store

PASSWORD = "seven quiet herons"


# --- bombs ----------------------------------------------------------------------------------
def png_bomb(width: int, height: int) -> bytes:
    """A whole PNG of so many black pixels, a thousandth of their size."""
    packer = zlib.compressobj(9)
    row = b"\x00" * (width // 8 + 1)
    packed = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in ((b"IHDR", head), (b"IDAT", packed), (b"IEND", b""))
    )


def pdf_bomb() -> bytes:
    """A PDF whose only page is a picture of 60000 x 60000 pixels that unpacks from 4 kB."""
    data = zlib.compress(zlib.compress(b"\x00" * 60_000_000, 9), 9)
    picture = (
        f"<< /Type /XObject /Subtype /Image /Width 60000 /Height 60000 /ColorSpace /DeviceGray"
        f" /BitsPerComponent 8 /Filter [/FlateDecode /FlateDecode] /Length {len(data)} >>"
    ).encode()
    draw = b"q 595 0 0 842 0 0 cm /I Do Q"
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R"
        b" /Resources << /XObject << /I 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(draw), draw),
        picture + b"\nstream\n" + data + b"\nendstream",
    ]
    out, places = bytearray(b"%PDF-1.7\n"), []
    for number, part in enumerate(parts, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, part)
    table = len(out)
    out += b"xref\n0 6\n0000000000 65535 f \n"
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % table
    return bytes(out)


def tiff_bomb() -> bytes:
    """A TIFF of one strip that says it is 60000 x 60000 pixels."""
    packed = zlib.compress(b"\x00" * 10_000_000, 9)
    tags = [(256, 4, 60_000), (257, 4, 60_000), (258, 3, 8), (259, 3, 8), (262, 3, 1),
            (273, 4, 0), (277, 3, 1), (278, 4, 60_000), (279, 4, len(packed))]  # fmt: skip
    start = 8 + 2 + 12 * len(tags) + 4
    entries = b"".join(
        struct.pack("<HHII", tag, kind, 1, start if tag == 273 else value)
        for tag, kind, value in tags
    )
    directory = struct.pack("<H", len(tags)) + entries + struct.pack("<I", 0)
    return b"II*\x00" + struct.pack("<I", 8) + directory + packed


def endless_tiff() -> bytes:
    """A TIFF whose directory of pages leads back to itself."""
    entries = b"".join(
        struct.pack("<HHII", tag, 3, 1, 1) for tag in (256, 257, 258, 259, 262, 273, 277, 278, 279)
    )
    return b"II*\x00" + struct.pack("<I", 8) + struct.pack("<H", 9) + entries + struct.pack("<I", 8)


BOMBS = {
    "pixels.png": png_bomb(40_000, 40_000),
    "picture.pdf": pdf_bomb(),
    "pixels.tiff": tiff_bomb(),
    "endless.tiff": endless_tiff(),
}


def test_bombs_among_scans_are_told_and_the_desk_goes_on(marked: Marked, tmp_path: Path) -> None:
    assert all(len(bomb) < 2_000_000 for bomb in BOMBS.values())
    sent = [("scans", (name, bomb)) for name, bomb in BOMBS.items()]
    before = own_memory()
    assert "4 files taken in" in marked.client.post("/printings/1/scans", files=sent).text
    for _ in range(1200):
        assert marked.client.get("/static/icon.svg").status_code == 200
        with marked.store.reading() as session:
            if not queue.busy(session):
                break
        time.sleep(0.1)
    told = marked.client.get("/printings/1").text
    for name in BOMBS:
        assert told.count(name) >= 1, name
    assert told.count("not read") >= len(BOMBS)
    assert own_memory() - before < 100_000_000  # they are opened in other processes
    assert "3 sheets" in told


def own_memory() -> int:
    """The most bytes that this process, which serves the desk here, ever had in memory."""
    told = Path("/proc/self/status").read_text()
    return 1024 * int(next(x for x in told.splitlines() if x.startswith("VmHWM")).split()[1])


def roster(users: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "manifest.csv", "propertyName,value\noneroster.version,1.1\nfile.users,bulk\n"
        )
        archive.writestr("classes.csv", "sourcedId,status,title\nc1,,8 Red\n")
        with archive.open("users.csv", "w", force_zip64=True) as entry:
            entry.write(b"sourcedId,status,role,givenName,familyName\n")
            for _ in range(130):
                entry.write(users)
        archive.writestr("enrollments.csv", "classSourcedId,userSourcedId,role\n")
    return out.getvalue()


@pytest.mark.parametrize("line", [b"\x00", b"u,,student,A,B\n", b"x,", b'"'])
def test_a_roster_that_unpacks_without_end_is_refused(client: TestClient, line: bytes) -> None:
    bomb = roster((line * 1_000_000)[:1_000_000])
    assert len(bomb) < 3_000_000
    before = own_memory()
    answered = client.post("/classes/lists", files={"list": ("roster.zip", bomb)})
    assert answered.status_code == 400
    assert "of the roster" in answered.text
    assert own_memory() - before < 600_000_000
    assert "8 Red" not in client.get("/classes").text


# --- markup ---------------------------------------------------------------------------------
MARKUP = '<script>alert("x")</script><img src=x onerror=alert(1)>'


def test_markup_in_titles_stories_and_sentences_is_shown_as_written(
    client: TestClient, store: Store
) -> None:
    text = (
        f"title: '{MARKUP}'\nquestions:\n  - story: '{MARKUP}'\n"
        "    given: [S and T are 7 cm apart.]\n"
        "    ask: [Draw the locus of points that are the same distance from S as from T.]\n"
        f"  - given: ['{MARKUP}']\n    ask: ['{MARKUP}']\n"
    )
    with store.writing() as session:
        papers.make_paper(session, text, MARKUP)
    for path in ("/", "/papers/1/questions/1", "/papers/1/questions/2", "/papers/1/print"):
        shown = client.get(path).text
        assert "<script>alert" not in shown, path
        assert "<img src=x" not in shown, path
        assert "alert(&#34;x&#34;)" in shown or path.endswith("2"), path


def test_markup_in_class_names_and_numbers_is_shown_as_written(client: TestClient) -> None:
    form = {"name": MARKUP[:60], "pupils": f"{MARKUP[:50]}\n"}
    client.post("/classes/lists", data=form)
    for path in ("/classes", "/classes/1", "/pupils/1"):
        shown = client.get(path).text
        assert "<script>alert" not in shown, path
        assert "&lt;script&gt;" in shown, path


# --- sessions -------------------------------------------------------------------------------
def test_a_session_that_somebody_else_began_is_not_signed_in(store: Store) -> None:
    """Session fixation: what was in the browser before signing in is worth nothing after."""
    keep_password(store.folder, PASSWORD)
    right = {"name": "R. T.", "password": PASSWORD}
    with desk(store, beyond=True) as attacker:
        attacker.post("/sign-in", data={"name": "R. T.", "password": "a wrong guess"})
        attacker.get("/sign-in")
        planted = dict(attacker.cookies)
        victim = TestClient(attacker.app, base_url=attacker.base_url, headers=attacker.headers)
        victim.cookies.update(planted)
        assert victim.post("/sign-in", data=right).url.path == "/"
        assert victim.cookies["millimark"] != planted.get("millimark")
        attacker.cookies.clear()
        attacker.cookies.update(planted)
        assert attacker.get("/", follow_redirects=False).status_code == 303


def test_nothing_of_a_planted_session_is_taken_over(marked: Marked) -> None:
    keep_password(marked.store.folder, PASSWORD)
    with desk(marked.store, beyond=True) as colleague:
        colleague.post("/sign-in", data={"name": "A. Rook", "password": PASSWORD})
        colleague.post("/printings/1/delete", follow_redirects=False)  # leaves a message
        victim = TestClient(colleague.app, base_url=colleague.base_url, headers=colleague.headers)
        victim.cookies.update({"millimark": colleague.cookies["millimark"]})
        arrived = victim.post("/sign-in", data={"name": "R. T.", "password": PASSWORD})
        assert arrived.url.path == "/"
        assert "Nothing was deleted" not in arrived.text
        assert "Nothing was deleted" in colleague.get("/").text


def test_cookies_are_out_of_reach_of_scripts_and_other_sites(store: Store) -> None:
    keep_password(store.folder, PASSWORD)
    with desk(store, beyond=True) as client:
        answered = client.post(
            "/sign-in", data={"name": "R. T.", "password": PASSWORD}, follow_redirects=False
        )
        cookies = answered.headers.get_list("set-cookie")
        assert len(cookies) == 2
        for cookie in cookies:
            assert "httponly" in cookie.lower()
            assert "samesite=strict" in cookie.lower()
