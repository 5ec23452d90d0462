"""Limits on the sender, the origin and the size of a request, checked before its content.

The page listens on loopback by default; on any other address it demands a token. Other sites can
also send requests through a visitor's browser. The host that the browser names must therefore be
ours: otherwise a foreign name that resolves to this address could read the page. A request that
changes something must come from a page of ours.
"""

from __future__ import annotations

import asyncio
import hmac
import re
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, HTTPConnection
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from fitsolver.page.settings import Settings
from fitsolver.page.starting import SERVED_BY

COOKIE: Final = "fitsolver_token"
#: Most bytes of a request: of an upload of a whole catalogue, and of any other request, which is
#: text.
LARGEST_UPLOAD: Final = 25_000_000
LARGEST_FORM: Final = 2_000_000
_HOST: Final = re.compile(r"(\[[0-9a-f:.]{2,45}\]|[a-z0-9._-]{1,253})(:[0-9]{1,5})?")
_UTF_8: Final = re.compile(r';\s*charset="?utf-?8"?(?=\s*(;|$))')
#: Seconds in which a whole request must arrive.
SLOWEST: Final = 120.0
_SAFE: Final = ("GET", "HEAD", "OPTIONS")
_YEAR: Final = 31_536_000
_HEADERS: Final = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'; manifest-src 'self'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
    SERVED_BY[0]: SERVED_BY[1],
}


class Protect:
    """ASGI wrapper: host, origin, token and size, then the headers of every answer."""

    def __init__(self, app: ASGIApp, settings: Settings, slowest: float = SLOWEST) -> None:
        self._app, self._settings, self._slowest = app, settings, slowest
        self._names = {name.lower() for name in settings.allowed_names}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            else:
                await send({"type": "websocket.close", "code": 1008})
            return
        refused = self._refusal(scope)
        send = _with_headers(send)
        if refused is not None:
            await refused(scope, receive, send)
            return
        most = LARGEST_UPLOAD if scope["path"].endswith("/upload") else LARGEST_FORM
        if int(_length(Headers(scope=scope))) > most:
            await _too_large(most)(scope, receive, send)
            return
        await _Counted(self._app, most, self._slowest)(scope, receive, send)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _name(host) not in self._names:
            return PlainTextResponse("fitsolver: not called by this name\n", 400)
        if scope["method"] not in _SAFE and not _of_ours(headers, host):
            return PlainTextResponse("fitsolver: this request comes from another site\n", 403)
        if "charset" in _UTF_8.sub("", headers.get("content-type", "").lower(), count=1):
            return PlainTextResponse("fitsolver: only UTF-8 is understood\n", 415)
        return None if self._settings.token is None else self._without_token(scope, headers)

    def _without_token(self, scope: Scope, headers: Headers) -> Response | None:
        """Return a refusal, a redirect with a cookie if the address has the token, or None."""
        asked = HTTPConnection(scope)
        bearer = headers.get("authorization", "").removeprefix("Bearer ")
        if self._is_token(bearer) or self._is_cookie(asked.cookies.get(COOKIE, "")):
            return None
        if scope["method"] == "GET" and self._is_token(asked.query_params.get("token", "")):
            entered = RedirectResponse("/" + scope["path"].lstrip("/\\"), 303)  # no other host
            entered.set_cookie(
                COOKIE,
                cookie_of(self._settings.token or ""),
                _YEAR,
                httponly=True,
                samesite="strict",
                secure=scope["scheme"] == "https",
            )
            return entered
        return PlainTextResponse("fitsolver: open the page by the address with its token\n", 401)

    def _is_token(self, text: str) -> bool:
        return hmac.compare_digest(text.encode(), (self._settings.token or "").encode())

    def _is_cookie(self, text: str) -> bool:
        return hmac.compare_digest(text.encode(), cookie_of(self._settings.token or "").encode())


def cookie_of(token: str) -> str:
    """Return the cookie's value for a visitor with the token: not the token itself."""
    return hmac.digest(token.encode(), COOKIE.encode(), "sha256").hex()


def _name(host: str) -> str:
    """Return the name in a host header, without its port; nothing for an invalid header."""
    found = _HOST.fullmatch(host.lower())
    return found[1].strip("[]") if found else ""


def _of_ours(headers: Headers, host: str) -> bool:
    """Tell whether a request that changes something comes from a page of ours, or no browser.

    Browsers name the origin of every such request, and none lets a page of another site leave
    it out or choose it; a program that names none is no browser.
    """
    origin = headers.get("origin")
    if origin is None:
        return headers.get("sec-fetch-site", "none") in ("none", "same-origin")
    return urlsplit(origin).netloc.lower() == host.lower()


def _length(headers: Headers) -> str:
    text = headers.get("content-length", "0")
    return text if text.isdecimal() and len(text) < 16 else "0"


def _too_large(most: int) -> Response:
    return PlainTextResponse(f"fitsolver: too large; at most {most // 1_000_000} MB\n", 413)


class _Counted:
    """Passes a request on, and refuses it once it exceeds its size or its time.

    The application's answer to a refused request is dropped.
    """

    def __init__(self, app: ASGIApp, most: int, slowest: float) -> None:
        self._app, self._most, self._slowest = app, most, slowest

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        refused: Response | None = None
        left, begun, whole = self._most, False, False
        until = asyncio.get_running_loop().time() + self._slowest

        async def counted() -> Message:
            nonlocal left, refused, whole
            if whole:  # what comes now is that the asker has gone, whenever that is
                return await receive()
            try:
                async with asyncio.timeout_at(until):
                    message = await receive()
            except TimeoutError:
                refused = PlainTextResponse("fitsolver: sent too slowly\n", 408)
                return {"type": "http.disconnect"}
            whole = not message.get("more_body", False)
            left -= len(message.get("body", b""))
            if left < 0:
                refused = _too_large(self._most)
            return message if refused is None else {"type": "http.disconnect"}

        async def watched(message: Message) -> None:
            nonlocal begun
            if begun or refused is None:
                begun = True
                await send(message)

        try:
            await self._app(scope, counted, watched)
        except ClientDisconnect:  # as it was told
            if refused is None:
                raise
        if refused is not None and not begun:
            await refused(scope, receive, send)


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sent
