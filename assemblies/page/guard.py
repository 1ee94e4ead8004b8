"""Who may ask: only a page that this server has handed out, on this machine.

Every request must name the server's own host (so that no other name leads here), bear the token as the first part of its path,
and come from no other origin; what it sends is bounded and is JSON. What is refused is told nothing.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["LARGEST", "PACKET_POLICY", "Guard"]

LARGEST: Final = 2 * 1024 * 1024  # bytes: an order of 256 KiB, each sign escaped, and its changes
#: Of the page: nothing but its own files, no frame, no form, nothing that runs in its text.
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
#: Of a packet's page, whose own policy names its scripts by their digests: apart from this origin, it can ask nothing here.
PACKET_POLICY: Final = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'; sandbox allow-scripts allow-popups"
)
_HEADERS: Final = {
    "content-security-policy": _POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@dataclass(frozen=True)
class Guard:
    """The gate before the application: `host` as browsers write it, `127.0.0.1:8611`."""

    app: ASGIApp
    host: str
    token: str

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            return await self.app(scope, receive, send)
        if scope["type"] != "http":  # no sockets of any other kind are asked for
            return None
        headers = {key.decode("latin-1").lower(): value.decode("latin-1") for key, value in scope["headers"]}
        answer = _with_headers(send)
        refused = self._refused(scope, headers)
        body = None if refused or scope["method"] != "POST" else await _body(receive)
        if refused is None and scope["method"] == "POST" and body is None:
            refused = 413, "too large"
        if refused is not None:
            return await PlainTextResponse(f"{refused[1]}\n", refused[0])(scope, receive, answer)
        inner = {**scope, "path": scope["path"][len(self.token) + 1 :] or "/", "root_path": "", "raw_path": None}
        return await self.app(inner, receive if body is None else _again(body, receive), answer)

    def _refused(self, scope: Scope, headers: Mapping[str, str]) -> tuple[int, str] | None:
        """Status and word where the request is none of ours."""
        if [v for k, v in scope["headers"] if k.lower() == b"host"] != [self.host.encode()]:
            return 421, "not this host"
        origin = headers.get("origin")
        if origin is not None and origin != f"http://{self.host}":
            return 403, "not from here"
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return 403, "not from here"
        begin = scope["path"].split("/", 2)[1] if scope["path"].startswith("/") else ""
        if not hmac.compare_digest(begin.encode("utf-8", "replace"), self.token.encode()):
            return 404, "nothing here"
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "not asked so"
        if scope["method"] == "POST":
            return _refused_post(origin, headers)
        return None


def _refused_post(origin: str | None, headers: Mapping[str, str]) -> tuple[int, str] | None:
    if origin is None:
        return 403, "not from here"
    if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
        return 415, "JSON alone"
    length = headers.get("content-length", "0")
    if not length.isascii() or not length.isdigit() or len(length) > 12 or int(length) > LARGEST:
        return 413, "too large"
    return None


def _with_headers(send: Send) -> Send:
    """Every answer bears the headers, unless it has its own."""

    async def answer(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {key.lower() for key, _ in message["headers"]}
            more = [(k.encode(), v.encode()) for k, v in _HEADERS.items() if k.encode() not in own]
            message = {**message, "headers": [*message["headers"], *more]}
        await send(message)

    return answer


async def _body(receive: Receive) -> bytes | None:
    """All that is sent; None where it is more than is taken, whatever length was said before."""
    parts, left = [], LARGEST
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b""  # whoever sent it has gone
        parts.append(message.get("body", b""))
        left -= len(parts[-1])
        if left < 0:
            return None
        if not message.get("more_body", False):
            return b"".join(parts)


def _again(body: bytes, receive: Receive) -> Receive:
    """What was received, handed on; after it only what comes then."""
    waiting = [body]

    async def again() -> Message:
        if waiting:
            return {"type": "http.request", "body": waiting.pop(), "more_body": False}
        return await receive()

    return again
