"""The application: routes, guards, sessions, and the worker's life."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.routing import Route

from millimark.desk import (
    after_marking,
    bank_pages,
    demonstrating,
    jobs,
    mending_pages,
    phone_capture,
    phone_switch,
    printing,
    programs,
    scanning,
    serving,
    signing_in,
    writing,
)
from millimark.desk.guards import Guards
from millimark.desk.password import signing_key
from millimark.desk.paths import RUN
from millimark.desk.phones import PHOTOGRAPH_BYTES
from millimark.desk.rendering import posted, trouble
from millimark.desk.setting import Desk
from millimark.desk.sweeping import Sweeper
from millimark.errors import MillimarkError

SCANS_BYTES = 400_000_000
LARGE = after_marking.LARGE | {"scans": SCANS_BYTES, "photographs": PHOTOGRAPH_BYTES}
"""Last parts of the paths that take files, with the most bytes that one request may have."""
HOURS_SIGNED_IN = 12


def make_app(desk: Desk, sweep: bool = True) -> Starlette:
    """The application of a desk. ``sweep``: clear away what is past its time, now and daily."""
    sweeper = Sweeper(desk.store)

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        if sweep:
            sweeper.start()
        desk.hands.start()
        yield
        sweeper.stop()
        desk.hands.stop()
        desk.press.stop()
        desk.studio.stop()
        desk.films.cleanup()

    app = Starlette(
        routes=routes(),
        lifespan=life,
        exception_handlers={MillimarkError: trouble, HTTPException: programs.refused},
        middleware=[
            Middleware(
                SessionMiddleware,
                secret_key=signing_key(desk.store.folder),
                session_cookie="millimark",
                same_site="strict",
                max_age=HOURS_SIGNED_IN * 3600,
            ),
            Middleware(
                Guards, hosts=desk.hosts, addresses=desk.beyond, door=desk.door, large=LARGE
            ),
        ],
    )
    app.state.desk, app.state.sweeper = desk, sweeper
    return app


def routes() -> list[Route]:
    """Every path of the desk, in the order of the cycle."""
    run = RUN
    question = "/papers/{paper:id}/questions/{place:id}"
    construction = "/constructions/{name}"
    return [
        Route("/static/{name}", serving.static),
        Route("/api/openapi.json", programs.document),
        Route("/api/printings", programs.answered(programs.all_runs)),
        Route("/api/printings/{run:id}", programs.answered(programs.progress)),
        Route("/api/printings/{run:id}/marks", programs.answered(programs.marks_of)),
        Route("/api/check", programs.answered(programs.check)),
        Route("/api/solve", programs.answered(programs.solve)),
        Route("/sign-in", signing_in.ask),
        Route("/sign-in", posted(signing_in.sign_in), methods=["POST"]),
        Route("/sign-out", posted(signing_in.sign_out), methods=["POST"]),
        Route("/", writing.home),
        Route("/papers", posted(writing.begin), methods=["POST"]),
        Route("/papers/{paper:id}/delete", posted(writing.delete), methods=["POST"]),
        Route("/papers/{paper:id}/questions", posted(writing.add), methods=["POST"]),
        Route(question, writing.question),
        Route(f"{question}/live", posted(writing.live), methods=["POST"]),
        Route(f"{question}/keep", posted(writing.keep), methods=["POST"]),
        Route(f"{question}/step", posted(writing.step), methods=["POST"]),
        Route(f"{question}/remove", posted(writing.remove), methods=["POST"]),
        Route(f"{question}/show", demonstrating.of_question),
        Route(f"{question}/show/film", posted(demonstrating.film_of_question), methods=["POST"]),
        Route(f"{question}/show/{{file}}", demonstrating.file_of_question),
        Route("/constructions", demonstrating.constructions),
        Route(f"{construction}/show", demonstrating.of_construction),
        Route(f"{construction}/figure", demonstrating.figure),
        Route(
            f"{construction}/show/film",
            posted(demonstrating.film_of_construction),
            methods=["POST"],
        ),
        Route(f"{construction}/show/{{file}}", demonstrating.file_of_construction),
        Route("/films/{name}", demonstrating.made_film),
        Route("/proofs/{name}", writing.proof),
        Route("/papers/{paper:id}/file", writing.file),
        Route("/papers/{paper:id}/front", writing.front),
        Route("/papers/{paper:id}/bank", bank_pages.look_through),
        Route("/papers/{paper:id}/bank", posted(bank_pages.drop_in), methods=["POST"]),
        Route("/bank/{name}", bank_pages.figure),
        Route("/papers/{paper:id}/print", printing.ask),
        Route("/papers/{paper:id}/print/pupils", printing.pupils_of_class),
        Route("/papers/{paper:id}/print", posted(printing.print_it), methods=["POST"]),
        Route("/printings", printing.runs),
        Route(run, printing.run),
        Route(f"{run}/files/{{name}}", printing.file),
        Route(f"{run}/files/{{name}}/look", printing.look),
        Route(f"{run}/files/{{name}}/pages/{{page:id}}", printing.page_picture),
        Route("/jobs/{job}", jobs.job),
        Route("/jobs/{job}/progress", jobs.progress),
        Route(f"{run}/delete", posted(printing.delete), methods=["POST"]),
        Route(f"{run}/scans", scanning.send, methods=["POST"]),
        Route(f"{run}/progress", scanning.progress),
        Route(f"{run}/uploads/{{upload:id}}/again", posted(scanning.again), methods=["POST"]),
        Route(
            f"{run}/uploads/{{upload:id}}/aside", posted(mending_pages.file_aside), methods=["POST"]
        ),
        Route(f"{run}/mend/{{page:id}}", mending_pages.look),
        Route(f"{run}/mend/{{page:id}}", posted(mending_pages.mend), methods=["POST"]),
        Route(f"{run}/mend/{{page:id}}/picture", mending_pages.picture),
        Route(f"{run}/mend/{{page:id}}/scans", mending_pages.retake, methods=["POST"]),
        Route(f"{run}/phone", phone_switch.show),
        Route(f"{run}/phone", posted(phone_switch.invite), methods=["POST"]),
        Route(f"{run}/phone/state", phone_switch.state),
        Route(f"{run}/phone/end", posted(phone_switch.end), methods=["POST"]),
        Route("/phone/in/{token}", phone_capture.arrive),
        Route("/phone/in/{token}", posted(phone_capture.enter), methods=["POST"]),
        Route("/phone/page", phone_capture.camera),
        Route("/phone/photographs", phone_capture.add, methods=["POST"]),
        Route("/phone/sent", phone_capture.sent),
        Route("/phone/end", posted(phone_capture.leave), methods=["POST"]),
        *after_marking.routes(),
    ]
