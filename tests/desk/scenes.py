"""Every page of the desk with something to see on it, for axe-core and for screenshots.

A path of `application.routes` that answers GET stands in PAGES if it gives a whole page, else in
PARTS. A new one is missing here until its scene is written: a test says so.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import httpx2
from tests.desk.test_mending import page as smudged_page

from millimark.desk.hands import Hands
from millimark.desk.password import door_of, keep_password
from millimark.desk.running import running
from millimark.desk.setting import Desk, names_beyond
from millimark.records import blind, papers, queue, uploads
from millimark.records.store import Store

ASK = "Draw the locus of points that are 3 cm from A."
PASSWORD = "seven quiet herons"
WRONG = """\
title: Not right yet
questions:
  - given: [A and B are 8 cm part.]
    ask: [Draw the locus of points that are 3 cm from A.]
"""


@dataclass
class Everything:
    """A running desk that has a bit of everything: at ``place``, with a client that is signed
    in. Print run 1 is marked and waits for a person; one page of it could not be read; a second
    marking is under way; paper 2 is wrong."""

    place: str
    desk: Desk
    client: httpx2.Client
    kept: dict[str, str] = field(default_factory=dict)

    def post(self, path: str, **form: str) -> httpx2.Response:
        return self.client.post(path, data=form)


Scene = str | Callable[[Everything], str]


@contextmanager
def everything(store: Store) -> Iterator[Everything]:
    """Serve marked records with all of that; the address is of this machine alone."""
    keep_password(store.folder, PASSWORD)
    prepare(store)
    desk = Desk(store, Hands(store), door_of(store.folder), names_beyond(), True)
    with (
        running(desk) as place,
        httpx2.Client(base_url=place, headers={"origin": place}, follow_redirects=True) as client,
    ):
        found = Everything(place, desk, client)
        found.post("/sign-in", name="R. Teasel", password=PASSWORD)
        mark_twice(found)
        yield found


def prepare(store: Store) -> None:
    """What cannot be done at the desk without waiting for its worker."""
    with store.writing() as session:
        papers.make_paper(session, WRONG, "R. Teasel")
    smudged = [smudged_page(store, 1, codes=False)]
    uploads.accept(store, 1, "rainy-day.png", smudged)
    queue.work(store, confined=False)


def mark_twice(seen: Everything) -> None:
    """Two markers decide every mark of a round, the first one otherwise than the second; the
    teacher who is signed in has still to."""
    seen.post("/printings/1/second", which="all")
    with seen.desk.store.reading() as session:
        waits = [mark.mark_id for mark in blind.to_decide(session, 1, "nobody")]
    for who in ("B. Wren", "C. Lark"):
        for k, mark in enumerate(waits):
            to = "withheld" if k == 0 and who == "B. Wren" else "awarded"
            form = {"mark": str(mark), "to": to, "who": who, "why": "No arcs."}
            seen.post("/printings/1/second/1/mark", **form)
    seen.post("/sign-in", name="R. Teasel", password=PASSWORD)  # the markers gave their names


def failed_job(seen: Everything) -> str:
    """The page of a print run that could not be typeset."""
    if "job" not in seen.kept:
        answer = seen.post("/papers/2/print", sheets="1")
        for _ in range(600):
            if "Back</a>" in answer.text:
                break
            time.sleep(0.1)
            answer = seen.client.get(answer.url)
        seen.kept["job"] = str(answer.url.path)
    return seen.kept["job"]


def page_to_mend(seen: Everything) -> str:
    found = re.search(r"/printings/1/mend/[0-9]+", seen.client.get("/printings/1").text)
    assert found
    return found[0]


def code(seen: Everything) -> str:
    """Where a phone's code leads that was not used."""
    return f"/phone/in/{seen.desk.phones.invite(1, seen.place, 30).token}"


def proof(seen: Everything) -> str:
    form = {
        "given": "A and B are 8 cm apart.",
        "ask": "Draw the locus of points that are 3 cm from A.",
        "view": "page",
    }
    shown = seen.post("/papers/1/questions/1/live", **form).text
    found = re.search(r"/proofs/[0-9a-f]+", shown)
    assert found
    return found[0]


RUN = "/printings/{run:id}"
QUESTION = "/papers/{paper:id}/questions/{place:id}"
SECOND = f"{RUN}/second/{{round:id}}"

PAGES: dict[str, Scene] = {
    "/sign-in": "/sign-in",
    "/": "/",
    QUESTION: "/papers/1/questions/1",
    f"{QUESTION}/show": "/papers/1/questions/1/show",
    "/constructions": "/constructions",
    "/constructions/{name}/show": "/constructions/incircle/show",
    "/papers/{paper:id}/bank": "/papers/1/bank?level=5",
    "/papers/{paper:id}/print": "/papers/1/print",
    "/jobs/{job}": failed_job,
    "/printings": "/printings",
    RUN: "/printings/1",
    f"{RUN}/files/{{name}}/look": "/printings/1/files/model-answers.pdf/look",
    f"{RUN}/mend/{{page:id}}": page_to_mend,
    f"{RUN}/phone": "/printings/1/phone",
    "/phone/in/{token}": code,
    "/phone/page": "/phone/page",
    f"{RUN}/review": "/printings/1/review",
    f"{RUN}/twice": "/printings/1/twice",
    f"{RUN}/second": "/printings/1/second",
    f"{SECOND}/mark": "/printings/1/second/1/mark",
    f"{SECOND}/compare": "/printings/1/second/1/compare?pair=B.+Wren|C.+Lark",
    f"{RUN}/grid": "/printings/1/grid",
    f"{RUN}/feedback": "/printings/1/feedback",
    f"{RUN}/reteach": "/printings/1/reteach",
    "/classes": "/classes",
    "/classes/{owner:id}": "/classes/1",
    "/pupils/{pupil:id}": "/pupils/1",
    "/pupils/{pupil:id}/delete": "/pupils/2/delete",
    "/records": "/records",
}
"""Whole pages, by the path of their route: where to see one."""

BESIDES: dict[str, Scene] = {
    "a question that is wrong": "/papers/2/questions/1",
    "what there is not": "/papers/77/print",
    "a print that cannot be ordered": "/papers/2/print",
}
"""More to see on pages that are there already."""

PARTS: dict[str, Scene] = {
    "/static/{name}": "/static/desk.css",
    f"{QUESTION}/show/{{file}}": "/papers/1/questions/1/show/captions.vtt",
    "/constructions/{name}/figure": "/constructions/midpoint/figure",
    "/constructions/{name}/show/{file}": "/constructions/midpoint/show/transcript.txt",
    "/films/{name}": "/films/none.mp4",
    "/proofs/{name}": proof,
    "/papers/{paper:id}/file": "/papers/1/file",
    "/papers/{paper:id}/front": "/papers/1/front",
    "/bank/{name}": "/bank/two-nests",
    f"{RUN}/files/{{name}}": "/printings/1/files/overlays.pdf",
    f"{RUN}/files/{{name}}/pages/{{page:id}}": "/printings/1/files/overlays.pdf/pages/1",
    "/papers/{paper:id}/print/pupils": "/papers/1/print/pupils?class=1",
    "/jobs/{job}/progress": lambda seen: f"{failed_job(seen)}/progress",
    f"{RUN}/progress": "/printings/1/progress",
    f"{RUN}/mend/{{page:id}}/picture": lambda seen: f"{page_to_mend(seen)}/picture",
    f"{RUN}/phone/state": "/printings/1/phone/state",
    "/phone/sent": "/phone/sent",
    "/pages/{page:id}/picture": "/pages/1/picture",
    f"{RUN}/exports/{{name}}": "/printings/1/exports/marks.csv",
    "/scripts/{script:id}/feedback": "/scripts/1/feedback",
    "/pupils/{pupil:id}/everything": "/pupils/1/everything",
}
"""Files, pictures and fragments of pages."""


def path_of(scene: Scene, seen: Everything) -> str:
    """Where to see a scene."""
    return scene if isinstance(scene, str) else scene(seen)
