"""What every request passes first: host, origin, size, and who is let in; what every answer
carries: the content security policy and its companions."""

from __future__ import annotations

import ipaddress
from collections.abc import Mapping
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from millimark.desk.password import Door

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-frame-options": "DENY",
}
SAFE = frozenset({"GET", "HEAD"})
OPEN_PATHS = ("/sign-in", "/static/", "/phone/")
"""What needs no session. A phone's own paths ask for its pass instead (`phone_capture`)."""
SMALL = 1_000_000
"""Bytes of a form without files."""


class TooLargeError(Exception):
    """A body went past its limit while it was being received."""


class Guards:
    """The gate round the application. ``hosts``: names it answers to; ``addresses``: to every
    IP address too. A name that another site points at this machine is neither.

    ``large``: the path endings that take files, with their limits in bytes.
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: tuple[str, ...],
        addresses: bool,
        door: Door | None,
        large: Mapping[str, int],
    ) -> None:
        self.app, self.hosts, self.addresses = app, hosts, addresses
        self.door, self.large = door, dict(large)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused is not None:
            await refused(scope, receive, _dressed(send))
            return
        started = False

        async def sending(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, self._limited(scope, receive), _dressed(sending))
        except TooLargeError:
            if started:
                raise
            await _too_large(self._limit(scope))(scope, receive, _dressed(send))

    def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if not self._answers_to(name_of(host)):
            return PlainTextResponse("This desk does not answer to that name.", 421)
        if scope["method"] not in SAFE and not _same_site(headers, host):
            return PlainTextResponse("Refused: the request came from another site.", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > self._limit(scope):
            return _too_large(self._limit(scope))
        return self._let_in(scope)

    def _answers_to(self, name: str) -> bool:
        return name in self.hosts or (self.addresses and is_address(name))

    def _let_in(self, scope: Scope) -> Response | None:
        if self.door is None or scope["path"].startswith(OPEN_PATHS):
            return None
        if scope.get("session", {}).get("badge") == self.door.badge:
            return None
        if scope["path"].startswith("/api/"):
            told = {"message": "This desk has a password.", "hint": "Sign in, keep the cookie."}
            return JSONResponse(told, 401)
        return RedirectResponse("/sign-in", 303)

    def _limit(self, scope: Scope) -> int:
        last = scope["path"].rsplit("/", 1)[-1]
        return self.large.get(last, SMALL)

    def _limited(self, scope: Scope, receive: Receive) -> Receive:
        left = self._limit(scope)

        async def receiving() -> Message:
            nonlocal left
            message = await receive()
            left -= len(message.get("body", b""))
            if left < 0:
                raise TooLargeError
            return message

        return receiving


def name_of(host: str) -> str:
    """The host without its port."""
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdigit() else host).lower()


def is_address(name: str) -> bool:
    """Whether a host (without its port) is an IP address, IPv6 in brackets."""
    bracketed = name.startswith("[") and name.endswith("]")
    try:
        return (ipaddress.ip_address(name[1:-1] if bracketed else name).version == 6) == bracketed
    except ValueError:
        return False


def _same_site(headers: Headers, host: str) -> bool:
    """Browsers say where a post comes from; one that does not say is not let through."""
    if headers.get("sec-fetch-site", "same-origin") != "same-origin":
        return False
    origin = headers.get("origin")
    return origin is not None and urlsplit(origin).netloc.lower() == host.lower() != ""


def _too_large(limit: int) -> Response:
    return PlainTextResponse(
        f"That is more than the {limit // 1_000_000} MB that may be sent here at once. "
        "Split it into smaller files.",
        413,
    )


def _dressed(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-store")
        await send(message)

    return sending
