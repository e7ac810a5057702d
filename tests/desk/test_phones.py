"""A phone that sends photographs: let in once, for a while, for one print run, and no further."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from starlette.testclient import TestClient
from tests.desk.conftest import BOTH, HERE, PUPILS, Marked, idle, mark_here

from millimark.desk.password import keep_password
from millimark.desk.phones import A_MINUTE, MINUTES, MOST_PHONES, PHOTOGRAPH_BYTES, Phones
from millimark.records import papers, printings, uploads
from millimark.records.store import Store

PASSWORD = "seven quiet herons"
LAN = "http://192.168.7.20:8017"
RUN = "/printings/1/phone"
JSON = {"accept": "application/json"}


def picture(colour: int = 200) -> bytes:
    out = io.BytesIO()
    Image.new("L", (60, 80), colour).save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def teacher(marked: Marked) -> Iterator[TestClient]:
    """A signed-in browser at a desk that listens in the network."""
    keep_password(marked.store.folder, PASSWORD)
    with idle(marked.store, beyond=True, place=LAN) as client:
        client.post("/sign-in", data={"name": "R. Teasel", "password": PASSWORD})
        yield client


def phone_of(teacher: TestClient) -> TestClient:
    """Another device at the same desk, without any cookie."""
    return TestClient(teacher.app, base_url=LAN, headers={"origin": LAN})


def code_shown(teacher: TestClient) -> str:
    teacher.post(RUN, data={"minutes": "60"})
    found = re.search(r"http://192\.168\.7\.20:8017(/phone/in/[\w-]+)", teacher.get(RUN).text)
    assert found is not None
    return found.group(1)


def entered(teacher: TestClient) -> TestClient:
    phone = phone_of(teacher)
    assert phone.post(code_shown(teacher)).url.path == "/phone/page"
    return phone


def add(phone: TestClient, content: bytes, name: str = "p.jpg") -> tuple[int, str]:
    answered = phone.post(
        "/phone/photographs", files={"photographs": (name, content)}, headers=JSON
    )
    return answered.status_code, answered.json()["told"]


@BOTH
def test_a_photograph_of_a_page_arrives_and_the_phone_is_told(
    teacher: TestClient, marked: Marked, marked_folder: Path
) -> None:
    phone = entered(teacher)
    scan = next((marked_folder.parent / "rehearsed" / "scans").iterdir())
    again = scan.read_bytes() + b"\x00"  # other bytes, the same page
    assert add(phone, again) == (200, "Sent.")
    assert add(phone, picture()) == (200, "Sent.")
    found = phone.get("/phone/sent").json()["photographs"]
    assert [each["state"] for each in found] == ["waits", "waits"]
    mark_here(marked.store)
    found = phone.get("/phone/sent").json()["photographs"]
    assert [each["state"] for each in found] == ["read", "unread"]
    assert "take it again: " in found[1]["said"]
    assert "Phone 1: 2 photographs" in teacher.get(f"{RUN}/state").text


def test_a_code_lets_one_phone_in_once_and_looking_uses_nothing_up(teacher: TestClient) -> None:
    path = code_shown(teacher)
    first, second = phone_of(teacher), phone_of(teacher)
    for _ in range(3):
        assert first.get(path).status_code == 200
    assert first.post(path).status_code == 200
    assert second.get(path).status_code == 410
    assert second.post(path).status_code == 410
    assert second.get("/phone/page").status_code == 403
    assert add(second, picture())[0] == 403
    newer = code_shown(teacher)
    newest = code_shown(teacher)
    assert second.post(newer).status_code == 410  # a code that was shown before is void
    assert second.post(newest).status_code == 200


def test_the_code_can_be_scanned(teacher: TestClient) -> None:
    teacher.post(RUN, data={"minutes": "20"})
    shown = teacher.get(RUN).text
    address = re.search(r'class="address">([^<]+)<', shown)
    drawn = re.search(r'<svg[^>]*viewBox="0 0 (\d+) \d+".*?stroke="#000" d="([^"]+)"', shown, re.S)
    assert address is not None
    assert drawn is not None
    assert decoded(int(drawn.group(1)), drawn.group(2)) == address.group(1)


def decoded(side: int, path: str) -> str:
    """What a QR code drawn as strokes one module wide says."""
    image = Image.new("L", (side, side), 255)
    x = y = 0.0
    for letter, numbers in re.findall(r"([MmhH])([-\d. ]+)", path):
        values = [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?", numbers)]
        if letter == "M":
            x, y = values
        elif letter == "m":
            x, y = x + values[0], y + values[1]
        else:
            for k in range(int(values[0])):
                image.putpixel((int(x) + k, int(y - 0.5)), 0)
            x += values[0]
    found = zxingcpp.read_barcodes(image.resize((8 * side, 8 * side)))
    return str(found[0].text)


def test_a_phone_sees_no_record(teacher: TestClient) -> None:
    phone = entered(teacher)
    for path in ("/", "/printings/1", "/printings/1/grid", "/classes", "/pages/1/picture", RUN):
        answered = phone.get(path, follow_redirects=False)
        assert answered.headers["location"] == "/sign-in", path
    assert phone.post("/printings/1/scans", follow_redirects=False).status_code == 303
    seen = "".join(phone.get(p).text for p in ("/phone/page", "/phone/sent"))
    seen += phone.get(code_shown(teacher)).text
    assert not any(name.split()[0] in seen for name in PUPILS)
    assert "Two beacons" not in seen


def test_a_phone_is_switched_off_and_runs_out(teacher: TestClient) -> None:
    one, other = entered(teacher), entered(teacher)
    teacher.post(f"{RUN}/end", data={"phone": "1"})
    assert add(one, picture())[0] == 403
    assert add(other, picture())[0] == 200
    path = code_shown(teacher)
    teacher.post(f"{RUN}/end")
    assert add(other, picture(9))[0] == 403
    assert phone_of(teacher).post(path).status_code == 410
    third = entered(teacher)
    third.post("/phone/end")
    assert third.get("/phone/page").status_code == 403


def test_time_ends_codes_and_passes() -> None:
    now = 0.0
    phones = Phones(lambda: now)
    code = phones.invite(1, LAN, 20)
    later = phones.invite(2, LAN, 20)
    carried = phones.enter(code.token)
    assert carried is not None
    assert phones.enter(code.token) is None
    now = 1199.0
    phone = phones.with_pass(carried)
    assert phone is not None
    assert phones.invited(later.token) is not None
    now = 1200.0
    assert phones.with_pass(carried) is None
    assert phones.invited(later.token) is None
    assert phones.enter(later.token) is None


def test_a_phone_is_slowed_and_phones_are_few() -> None:
    now = 0.0
    phones = Phones(lambda: now)
    carried = [phones.enter(phones.invite(1, LAN, 60).token) for _ in range(MOST_PHONES + 1)]
    assert carried[-1] is None
    phone = phones.with_pass(carried[0] or "")
    assert phone is not None
    assert [phones.wait_seconds(phone) for _ in range(A_MINUTE)] == [0.0] * A_MINUTE
    assert phones.wait_seconds(phone) == 60.0
    now = 60.0
    assert phones.wait_seconds(phone) == 0.0


def test_what_a_phone_may_send(teacher: TestClient, marked: Marked) -> None:
    phone = entered(teacher)
    before = count(marked.store)
    assert add(phone, b"%PDF-1.7") == (
        400, "That is no photograph (JPEG or PNG). Take it with the camera."
    )  # fmt: skip
    assert add(phone, b"")[0] == 400
    assert phone.post("/phone/photographs", headers=JSON).json()["told"].startswith("No photo")
    large = {"photographs": ("p.png", picture() + b"\x00" * PHOTOGRAPH_BYTES)}
    assert phone.post("/phone/photographs", files=large, headers=JSON).status_code == 413
    for headers in ({"origin": "http://elsewhere.example"}, {"sec-fetch-site": "cross-site"}):
        assert phone.post("/phone/photographs", files={"photographs": ("p.png", picture())},
                          headers=headers).status_code == 403  # fmt: skip
    told = phone.post("/phone/photographs", headers={"host": "rebound.example", "origin": LAN})
    assert told.status_code == 421
    assert count(marked.store) == before
    named = "../../<b>x</b>.png"
    assert add(phone, picture(), named)[0] == 200
    with marked.store.reading() as session:
        assert uploads.standings(session, 1)[-1].upload.name == "Phone 1, photograph 1"


def count(store: Store) -> int:
    with store.reading() as session:
        return len(uploads.standings(session, 1))


def test_without_script_a_phone_sends_a_plain_form(teacher: TestClient) -> None:
    phone = entered(teacher)
    sent = [("photographs", ("a.png", picture(1))), ("photographs", ("b.png", picture(2)))]
    assert phone.post("/phone/photographs", files=sent).url.path == "/phone/page"
    assert len(phone.get("/phone/sent").json()["photographs"]) == 2
    refused = phone.post("/phone/photographs", files={"photographs": ("c.gif", b"GIF89a")})
    assert "That is no photograph" in refused.text


def test_a_desk_for_this_machine_alone_says_why_no_phone_can_reach_it(marked: Marked) -> None:
    told = marked.client.get(RUN).text
    assert "answers only the machine that it runs on" in told
    assert "--set-password --host 0.0.0.0" in told
    assert "Switch on" not in told
    assert marked.client.post(RUN, data={"minutes": "60"}).status_code == 400
    assert marked.client.get("/phone/page").status_code == 403


def test_how_long_and_for_what_is_checked(teacher: TestClient) -> None:
    for wrong in ("0", "61", "99999", "x", ""):
        assert teacher.post(RUN, data={"minutes": wrong}).status_code == 400
    assert teacher.post("/printings/77/phone", data={"minutes": str(MINUTES[0])}).status_code == 404
    assert "invitation" not in teacher.get(RUN).text.replace('class="invitation"', "")


def test_the_code_names_a_network_address_where_the_teacher_came_by_loopback(
    marked: Marked,
) -> None:
    keep_password(marked.store.folder, PASSWORD)
    with idle(marked.store, beyond=True, place=HERE) as client:
        client.post("/sign-in", data={"name": "R. T.", "password": PASSWORD})
        answered = client.post(RUN, data={"minutes": "60"})
        assert "127.0.0.1:8017/phone" not in answered.text
        found = re.search(r"http://([\d.]+):8017/phone/in/", answered.text)
        assert found is not None or "is in no network" in answered.text


def test_the_desk_in_a_network_answers_to_addresses_and_its_own_names(teacher: TestClient) -> None:
    for host, status in (
        ("10.1.2.3:8017", 303), ("[2001:db8::1]:8017", 303), ("localhost", 303),
        ("rebound.example", 421), ("10.1.2.3.rebound.example", 421), ("2001:db8::1", 421),
        ("", 421), ("[10.1.2.3]", 421),
    ):  # fmt: skip
        found = TestClient(teacher.app, base_url=LAN).get(
            "/", headers={"host": host}, follow_redirects=False
        )
        assert found.status_code == status, host


def test_a_deleted_print_run_takes_no_photographs(teacher: TestClient, marked: Marked) -> None:
    with marked.store.writing() as session:
        version = papers.version_of(session, 1).id
    run = printings.print_for(marked.store, version, sheets=1)
    teacher.post(f"/printings/{run}/phone", data={"minutes": "20"})
    found = re.search(r"/phone/in/[\w-]+", teacher.get(f"/printings/{run}/phone").text)
    assert found is not None
    phone = phone_of(teacher)
    phone.post(found.group(0))
    teacher.post(f"/printings/{run}/delete", data={"sure": "yes"})
    assert add(phone, picture())[0] == 400
