"""The application: routes, guards, sessions, and the worker's life."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.routing import Route

from millimark.desk import serving, signing_in, writing
from millimark.desk.guards import Guards
from millimark.desk.password import signing_key
from millimark.desk.rendering import posted, trouble
from millimark.desk.setting import Desk
from millimark.errors import MillimarkError
from millimark.records.deleting import sweep_orphans, sweep_retention
from millimark.records.uploads import sweep_incoming

SCANS_BYTES = 400_000_000
LARGE = {"scans": SCANS_BYTES, "lists": 20_000_000}
"""Last parts of the paths that take files, with the most bytes that one request may have."""
HOURS_SIGNED_IN = 12


def make_app(desk: Desk, sweep: bool = True) -> Starlette:
    """The application of a desk. ``sweep``: clear away at start what is past its time."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        if sweep:
            sweep_incoming(desk.store)
            sweep_orphans(desk.store)
            sweep_retention(desk.store)
        desk.hands.start()
        yield
        desk.hands.stop()

    app = Starlette(
        routes=routes(),
        lifespan=life,
        exception_handlers={MillimarkError: trouble},
        middleware=[
            Middleware(
                SessionMiddleware,
                secret_key=signing_key(desk.store.folder),
                session_cookie="millimark",
                same_site="strict",
                max_age=HOURS_SIGNED_IN * 3600,
            ),
            Middleware(Guards, hosts=desk.hosts, door=desk.door, large=LARGE),
        ],
    )
    app.state.desk = desk
    return app


def routes() -> list[Route]:
    """Every path of the desk, in the order of the cycle."""
    question = "/papers/{paper:int}/questions/{place:int}"
    return [
        Route("/static/{name}", serving.static),
        Route("/sign-in", signing_in.ask),
        Route("/sign-in", posted(signing_in.sign_in), methods=["POST"]),
        Route("/sign-out", posted(signing_in.sign_out), methods=["POST"]),
        Route("/", writing.home),
        Route("/papers", posted(writing.begin), methods=["POST"]),
        Route("/papers/{paper:int}/delete", posted(writing.delete), methods=["POST"]),
        Route("/papers/{paper:int}/questions", posted(writing.add), methods=["POST"]),
        Route(question, writing.question),
        Route(f"{question}/live", posted(writing.live), methods=["POST"]),
        Route(f"{question}/step", posted(writing.step), methods=["POST"]),
        Route(f"{question}/remove", posted(writing.remove), methods=["POST"]),
    ]
