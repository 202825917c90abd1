"""Who may speak with the desk: only under its own names, only with its key, and changes only from its own page."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import field

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from listel.core.quick import dataclass

MOST = 64 * 1024
"""The largest change that is taken, bytes; single places take more."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
)
PAPER_POLICY = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
"""For a finished paper, shown as it would be saved: its own style, and nothing that runs."""


@dataclass
class Keys:
    """What opens the desk: ``door``, in the address it prints; ``once``, each for one device, once; and ``held``, which
    a browser keeps in its cookie after that."""

    door: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    held: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    once: set[str] = field(default_factory=set)
    cookie: str = field(default_factory=lambda: f"listel-desk-{secrets.token_hex(4)}")

    def for_one(self) -> str:
        """A key that opens the desk once."""
        key = secrets.token_urlsafe(24)
        self.once.add(key)
        return key

    def opens(self, key: str) -> bool:
        """Whether a key from an address opens the desk."""
        if hmac.compare_digest(key.encode(), self.door.encode()):
            return True
        used = {one for one in self.once if hmac.compare_digest(key.encode(), one.encode())}
        self.once -= used
        return bool(used)

    def known(self, request: Request) -> bool:
        """Whether a browser that was let in before asks."""
        return hmac.compare_digest(request.cookies.get(self.cookie, "").encode(), self.held.encode())


class Guard:
    """The desk behind its guard. ``hosts``: each name with its port under which it answers; ``most``: what single paths
    take, bytes."""

    def __init__(self, desk: ASGIApp, hosts: frozenset[str], keys: Keys, most: Mapping[str, int]) -> None:
        self.desk, self.hosts, self.keys, self.most = desk, hosts, keys, most

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request: let through, or refused."""
        if scope["type"] != "http":
            return await self.desk(scope, receive, send)
        request = Request(scope)
        refused = self._refused(request)
        came_in = refused is None and not self.keys.known(request)

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *self._headers(message["headers"], came_in)]
            await send(message)

        answer: ASGIApp = refused or self.desk
        return await answer(scope, receive, guarded)

    def _refused(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        if host not in self.hosts:
            return PlainTextResponse("this desk does not answer to that name", 421)
        by_key = request.url.path == "/" and request.method == "GET"
        if not self.keys.known(request) and not (by_key and self.keys.opens(request.query_params.get("key", ""))):
            return PlainTextResponse("open the desk by the address it printed", 403)
        if request.method in ("GET", "HEAD"):
            return None
        if request.headers.get("origin") != f"http://{host}":
            return _no("not from this desk's own page", 403)
        if request.headers.get("content-type") != "application/json":
            return _no("changes are told in JSON", 415)
        length = request.headers.get("content-length", "")
        if not length.isascii() or not length.isdecimal():
            return _no("say how long it is", 411)
        if len(length) > 12 or int(length) > self.most.get(request.url.path, MOST):
            return _no("too much at once", 413)
        return None

    def _headers(self, told: list[tuple[bytes, bytes]], came_in: bool) -> list[tuple[bytes, bytes]]:
        names = {name.lower() for name, _ in told}
        headers = {
            b"content-security-policy": POLICY.encode(),
            b"referrer-policy": b"no-referrer",
            b"x-content-type-options": b"nosniff",
            b"cross-origin-resource-policy": b"same-origin",
            b"cache-control": b"no-store",
        }
        if came_in:
            headers[b"set-cookie"] = f"{self.keys.cookie}={self.keys.held}; HttpOnly; SameSite=Strict; Path=/".encode()
        return [(name, value) for name, value in headers.items() if name not in names]


def _no(says: str, status: int) -> Response:
    return JSONResponse({"says": says}, status)
