"""The OpenAPI 3.1 document of what programs read of the desk."""

from __future__ import annotations

from typing import Any

from millimark import schemas

MOST_SENTENCES = 20
MOST_CHARACTERS = 400
Json = dict[str, Any]

_TEXT: Json = {"type": "string"}
_COUNT: Json = {"type": "integer", "minimum": 0}
_MAYBE: Json = {"type": ["string", "null"]}


def described() -> Json:
    """The whole document."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Millimark's desk, for programs",
            "version": "1",
            "description": "Reading only. A desk with a password asks programs to sign in as a "
            "browser does: POST /sign-in with name and password, and keep the cookie.",
        },
        "servers": [{"url": "/"}],
        "paths": _paths(),
        "components": {
            "schemas": {
                "Error": _error(),
                "Run": _object(
                    {"id": _COUNT, "title": _TEXT, "sheets": _COUNT, "class": _MAYBE,
                     "printed_at": {"type": "string", "format": "date-time"},
                     "uploads_at_work": _COUNT, "marks_that_wait": _COUNT}
                ),
                "File": _object(
                    {"id": _COUNT, "name": _TEXT,
                     "state": {"enum": ["waiting", "working", "done", "failed"]},
                     "reason": _MAYBE, "pages": {"type": ["integer", "null"]},
                     "read": _COUNT, "unread": _COUNT, "twice": _COUNT}
                ),
                "Page": _object(
                    {"upload": _COUNT, "page": _COUNT, "state": {"enum": ["unread", "twice"]},
                     "reason": _MAYBE}
                ),
                **_published("marks"),
                **_published("answer"),
            }
        },
    }  # fmt: skip


def _paths() -> Json:
    runs = {"printings": {"type": "array", "items": _ref("Run")}}
    files = {
        "files": {"type": "array", "items": _ref("File")},
        "not_counting": {"type": "array", "items": _ref("Page")},
        "marks_that_wait": _COUNT,
    }
    read = {name: {"type": "array", "items": _TEXT} for name in ("given", "ask", "notes")}
    answers = {"answers": {"type": "array", "items": _ref("answer")}}
    one_run = [
        {"name": "run", "in": "path", "required": True, "description": "The print run's number.",
         "schema": {"type": "integer", "minimum": 0, "maximum": 999_999_999}}
    ]  # fmt: skip
    return {
        "/api/openapi.json": _get("This document", {"type": "object"}),
        "/api/printings": _get("Every print run, the newest first", _object(runs)),
        "/api/printings/{run}": _get(
            "How far the scans of a print run are", _object(files), one_run, (404,)
        ),
        "/api/printings/{run}/marks": _get(
            "marks.json with the marks as they stand", _ref("marks"), one_run, (404,)
        ),
        "/api/check": _get(
            "What sentences are understood to say",
            _object(read),
            [
                _sentences("given", "A and B are 8 cm apart.", 0),
                _sentences("ask", "Draw the locus of points that are 3 cm from A.", 0),
            ],
            (400,),
        ),
        "/api/solve": _get(
            "The exact answer to each ask",
            _object(answers),
            [_sentences("sentence", "A and B are 8 cm apart.", 1)],
            (400,),
        ),
    }


def _get(
    what: str, schema: Json, asked: list[Json] | None = None, wrong: tuple[int, ...] = ()
) -> Json:
    told = {404: "There is no such print run.", 400: "The sentences are not understood."}
    return {
        "get": {
            "summary": what,
            "parameters": asked or [],
            "responses": {
                "200": {"description": what, "content": {"application/json": {"schema": schema}}},
                "401": _problem("The desk has a password: sign in first."),
                **{str(status): _problem(told[status]) for status in wrong},
            },
        }
    }


def _problem(what: str) -> Json:
    return {
        "description": what,
        "content": {"application/json": {"schema": _ref("Error")}},
    }


def _sentences(name: str, example: str, least: int) -> Json:
    return {
        "name": name,
        "in": "query",
        "required": least > 0,
        "description": "A sentence; the parameter is repeated for each.",
        "schema": {
            "type": "array",
            "minItems": least,
            "maxItems": MOST_SENTENCES,
            "items": {"type": "string", "minLength": 1, "maxLength": MOST_CHARACTERS},
        },
        "example": [example],
    }


def _error() -> Json:
    more = {
        "sentence": _TEXT,
        "column": _COUNT,
        "length": _COUNT,
        "expected": {"type": "array", "items": _TEXT},
        "nearest": _MAYBE,
    }
    found = _object({"message": _TEXT, "hint": _TEXT})
    found["properties"] |= more
    return found


def _object(properties: Json) -> Json:
    return {"type": "object", "required": sorted(properties), "properties": properties}


def _ref(name: str) -> Json:
    return {"$ref": f"#/components/schemas/{name}"}


def _published(name: str) -> Json:
    """A published schema and its parts as components of the document."""
    whole = schemas.schema(name)
    parts = whole.pop("$defs", {})
    for key in ("$schema", "$id"):
        whole.pop(key, None)
    return {
        name: _moved(whole, name),
        **{f"{name}_{part}": _moved(found, name) for part, found in parts.items()},
    }


def _moved(found: Any, name: str) -> Any:
    """The same with references that lead to where the parts are in this document."""
    if isinstance(found, dict):
        return {
            key: value.replace("#/$defs/", f"#/components/schemas/{name}_")
            if key == "$ref"
            else _moved(value, name)
            for key, value in found.items()
        }
    return [_moved(each, name) for each in found] if isinstance(found, list) else found
