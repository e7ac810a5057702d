"""Files that the desk serves, read once by name: no path of a request reaches the disk."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from millimark.drawing import look
from millimark.drawing.screen import stylesheet
from millimark.showing.script import script, style

_KINDS = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml", "ttf": "font/ttf"}
_OWN = ("desk.js", "writing.js", "phone.js", "htmx.min.js")
_FONTS = ("Andika-Regular.ttf", "Andika-Bold.ttf", "Andika-Italic.ttf")

ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16">'
    f'<path d="M0 0H16V16H0Z" fill="{look.PAPER}"/>'
    f'<path d="M2 2V12M5 2V6M8 2V9M11 2V6M14 2V12" stroke="{look.PLUM}" stroke-width="1.4"/></svg>'
)


@cache
def served() -> dict[str, bytes]:
    """Every file by the only name under which it can be had."""
    package = files("millimark")
    own = package / "desk" / "static"
    found = {name: (own / name).read_bytes() for name in _OWN}
    found |= {name: (package / "fonts" / name).read_bytes() for name in _FONTS}
    found["icon.svg"] = ICON.encode()
    faces = (own / "faces.css").read_text("utf-8")
    found["desk.css"] = (faces + stylesheet((own / "desk.css").read_text("utf-8"))).encode()
    found["player.css"] = (faces + style()).encode()
    found["player.js"] = script().encode()
    return found


def static(request: Request) -> Response:
    """One of the files."""
    name = request.path_params["name"]
    content = served().get(name)
    if content is None:
        return PlainTextResponse("There is no such file.", 404)
    kind = _KINDS[name.rpartition(".")[2]]
    return Response(content, media_type=kind, headers={"cache-control": "max-age=3600"})
