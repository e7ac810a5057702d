"""Jobs: how far the press is with what was ordered."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from millimark.desk.press import Job
from millimark.desk.rendering import page
from millimark.desk.setting import desk_of
from millimark.errors import RecordsError


def job(request: Request) -> Response:
    """The page of a job; once it is done, the way to what came of it."""
    found = _job(request)
    if found.state == "done":
        return RedirectResponse(found.result, 303)
    return page(request, "job.html", job=found)


def progress(request: Request) -> Response:
    """How far it is, asked again and again; the browser is sent on when it is done."""
    found = _job(request)
    if found.state == "done":
        return Response(status_code=204, headers={"hx-redirect": found.result})
    return page(request, "job_progress.html", job=found)


def _job(request: Request) -> Job:
    desk = desk_of(request)
    name = request.path_params["job"]
    found = desk.press.job(name) or desk.studio.job(name)
    if found is None:
        raise RecordsError(
            "There is no such job: the desk was started anew since.", "Ask for it once more."
        )
    return found
