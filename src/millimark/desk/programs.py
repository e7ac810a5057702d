"""What a program reads of the desk, as JSON: print runs, how far marking is, marks, and what
sentences mean. Nothing here changes anything. `openapi` describes it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from millimark.desk.openapi import MOST_CHARACTERS, MOST_SENTENCES, described
from millimark.desk.setting import desk_of
from millimark.errors import MillimarkError, RecordsError, WordsError
from millimark.records import exports, marks, printings, queue, uploads

PREFIX = "/api/"
Endpoint = Callable[[Request], Response]


def answered(work: Endpoint) -> Endpoint:
    """The endpoint with its errors told as JSON: 404 for what is not there, else 400."""

    def endpoint(request: Request) -> Response:
        try:
            return work(request)
        except MillimarkError as error:
            missing = isinstance(error, RecordsError) and error.message.startswith("There is no")
            return _told(error, 404 if missing else 400)

    return endpoint


def refused(request: Request, error: Exception) -> Response:
    """A path or method that there is none of: JSON for programs, plain words for others."""
    if not isinstance(error, HTTPException):
        raise error
    if request.url.path.startswith(PREFIX):
        told = {"message": error.detail, "hint": f"{PREFIX}openapi.json says what there is."}
        return JSONResponse(told, error.status_code, headers=error.headers)
    return PlainTextResponse(error.detail, error.status_code, headers=error.headers)


def _told(error: MillimarkError, status: int) -> Response:
    told: dict[str, Any] = {"message": error.message, "hint": error.hint}
    words = error if isinstance(error, WordsError) else error.__cause__
    if isinstance(words, WordsError):
        told |= {
            "sentence": words.sentence,
            "column": words.column,
            "length": words.length,
            "expected": list(words.expected),
            "nearest": words.nearest,
        }
    return JSONResponse(told, status)


@cache
def _document() -> bytes:
    return bytes(JSONResponse(described()).body)


def document(request: Request) -> Response:
    """The OpenAPI document."""
    return Response(_document(), media_type="application/json")


def all_runs(request: Request) -> Response:
    """Every print run, the newest first."""
    with desk_of(request).store.reading() as session:
        found = [
            {
                "id": run.id,
                "title": run.title,
                "sheets": run.sheets,
                "class": run.teaching_class.name if run.teaching_class else None,
                "printed_at": run.made_at.isoformat(),
                "uploads_at_work": queue.busy(session, run.id),
                "marks_that_wait": marks.waiting(session, run.id),
            }
            for run in printings.all_printings(session)
        ]
    return JSONResponse({"printings": found})


def progress(request: Request) -> Response:
    """How far the scans of a print run are, and which pages do not count."""
    run_id = request.path_params["run"]
    with desk_of(request).store.reading() as session:
        printings.printing_of(session, run_id)
        files = [
            {
                "id": s.upload.id,
                "name": s.upload.name,
                "state": s.upload.state,
                "reason": s.upload.reason,
                "pages": s.upload.pages,
                "read": s.read,
                "unread": s.unread,
                "twice": s.twice,
            }
            for s in uploads.standings(session, run_id)
        ]
        pages = [
            {"upload": p.upload_id, "page": p.source_page, "state": p.state, "reason": p.reason}
            for p in uploads.unread_pages(session, run_id)
        ]
        waiting = marks.waiting(session, run_id)
    return JSONResponse({"files": files, "not_counting": pages, "marks_that_wait": waiting})


def marks_of(request: Request) -> Response:
    """marks.json with the marks as they stand."""
    with desk_of(request).store.reading() as session:
        content = exports.as_json(session, request.path_params["run"])
    return Response(content, media_type="application/json")


def check(request: Request) -> Response:
    """What sentences are understood to say, in the words that would be printed."""
    from millimark.words.reading import understand

    understood = understand(_sentences(request, "given"), _sentences(request, "ask"))
    return JSONResponse(
        {
            "given": list(understood.canonical_given),
            "ask": list(understood.canonical_ask),
            "notes": list(understood.notes),
        }
    )


def solve(request: Request) -> Response:
    """The exact answer to each ask, as `millimark solve --json` gives it."""
    from millimark.loci.portable import as_json
    from millimark.loci.solve import solve as solved
    from millimark.words.reading import sort_sentences, understand

    given, ask = sort_sentences(tuple(_sentences(request, "sentence", least=1)))
    understood = understand(given, ask)
    if not understood.asks:
        raise MillimarkError(
            "Nothing is asked: all of this is given.",
            "Add a sentence that begins with 'Draw' or 'Shade'.",
        )
    found = [as_json(solved(understood.figure, one)) for one in understood.asks]
    return JSONResponse({"answers": found})


def _sentences(request: Request, name: str, least: int = 0) -> list[str]:
    """The sentences of a query's parameter; MillimarkError if they are too many or too long."""
    found = request.query_params.getlist(name)
    if not least <= len(found) <= MOST_SENTENCES:
        raise MillimarkError(
            f"{len(found)} sentences came as '{name}'.",
            f"Send {least} to {MOST_SENTENCES}, each as a parameter of its own.",
        )
    for sentence in found:
        if not 1 <= len(sentence) <= MOST_CHARACTERS or not sentence.isprintable():
            raise MillimarkError(
                f"A sentence of {len(sentence)} characters came as '{name}'.",
                f"A sentence has 1 to {MOST_CHARACTERS} printable characters.",
            )
    return found
