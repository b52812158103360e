"""The gate before the dashboard: every request and every websocket passes through here first."""

import asyncio
import math
import time
from collections.abc import Awaitable, Callable
from urllib.parse import parse_qs, quote, urlsplit

from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection, Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scrapeview.errors import ServeError
from scrapeview.serve.attempts import Attempts
from scrapeview.serve.login_page import login_page
from scrapeview.serve.passphrase import LockFile
from scrapeview.serve.reached import SAFE_METHODS, is_near, is_own_host, is_own_origin
from scrapeview.serve.sessions import COOKIE, LASTS_S, Clock, is_good, new_token

LOGIN_PATH = "/passphrase"
LARGEST_LOGIN_BYTES = 8192
LOOKS_AGAIN_AFTER_S = 60.0
"""How soon a page left open notices that its login has ended."""

_GUARDING_HEADERS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "SAMEORIGIN",
    "referrer-policy": "same-origin",
}
_LOGIN_HEADERS = {
    "cache-control": "no-store",
    "content-security-policy": (
        "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
}


class Gate:
    """Lets through to the dashboard only who may see it.

    Parameters
    ----------
    app : ASGI application
        The dashboard.
    lock_file : LockFile, optional
        Holds the passphrase's lock; None serves this computer only and asks for none.
    clock : callable, optional
        Time of day in seconds, for the logins.
    attempts : Attempts, optional
        Waits between wrong passphrases.
    looks_again_after_s : float, optional
        How often an open websocket's login is looked at.
    """

    def __init__(
        self,
        app: ASGIApp,
        lock_file: LockFile | None = None,
        *,
        clock: Clock = time.time,
        attempts: Attempts | None = None,
        looks_again_after_s: float = LOOKS_AGAIN_AFTER_S,
    ) -> None:
        self._app = app
        self._lock_file = lock_file
        self._clock = clock
        self._attempts = attempts or Attempts()
        self._looks_again_after_s = looks_again_after_s
        # one at a time: hashing takes memory, and many at once gain nothing
        self._hashing = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] == "http":
            await self._serve_http(scope, receive, _guarded(send))
        elif scope["type"] == "websocket":
            await self._serve_websocket(scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _serve_http(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope, receive)
        answer = self._stranger_s_answer(request)
        if answer is None and scope["path"] == LOGIN_PATH and self._lock_file is not None:
            answer = await self._login(request, self._lock_file)
        elif answer is None and not self._is_logged_in(request):
            answer = _ask_for_passphrase(request)
        await (answer or self._app)(scope, receive, send)

    async def _serve_websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        connection = HTTPConnection(scope)
        own = self._is_for_us(connection) and _has_own_origin(connection)
        if own and self._is_logged_in(connection):
            await self._app(scope, self._while_logged_in(connection, receive, send), send)
            return
        await receive()
        # closed before it was accepted: the browser sees the handshake refused
        await send({"type": "websocket.close", "code": 4401})

    def _is_for_us(self, connection: HTTPConnection) -> bool:
        lan = self._lock_file is not None
        return _is_near(connection) and is_own_host(connection.headers.get("host", ""), lan=lan)

    def _stranger_s_answer(self, request: Request) -> Response | None:
        """What somebody who has no business here is told; None for all others."""
        if not _is_near(request):
            return _plain(403, "Only the shop's own network is answered.")
        if not self._is_for_us(request):
            return _plain(
                421,
                "Scrapeview does not answer to this name. Use the address that the bench "
                "computer shows.",
            )
        if request.method not in SAFE_METHODS and not _has_own_origin(request):
            return _plain(403, "This request did not come from a page of Scrapeview.")
        return None

    def _is_logged_in(self, connection: HTTPConnection) -> bool:
        if self._lock_file is None:
            return True
        try:
            return is_good(connection.cookies.get(COOKIE), self._lock_file.lock(), self._clock)
        except ServeError:
            return False

    async def _login(self, request: Request, lock_file: LockFile) -> Response:
        if request.method != "POST":
            return _ask_for_passphrase(request)
        form = await _form_of(request)
        if form is None:
            return _plain(413, "This is no passphrase.")
        passphrase, next_path = form
        address = _address(request)
        wait_s = math.ceil(self._attempts.begin(address))
        if wait_s > 0:
            return _wait(next_path, wait_s)
        try:
            lock = lock_file.lock()
        except ServeError as error:
            return _page(503, next_path, str(error))
        async with self._hashing:
            right = await asyncio.to_thread(lock.opens, passphrase)
        if not right:
            return _page(401, next_path, "That is not the passphrase.")
        self._attempts.succeeded(address)
        answer = RedirectResponse(next_path, status_code=303, headers=_LOGIN_HEADERS)
        answer.set_cookie(
            COOKIE, new_token(lock, self._clock), max_age=LASTS_S, httponly=True, samesite="strict"
        )
        return answer

    def _while_logged_in(
        self, connection: HTTPConnection, receive: Receive, send: Send
    ) -> Callable[[], Awaitable[Message]]:
        """Return a receive that hangs up once the login has run out or was ended."""
        if self._lock_file is None:
            return receive

        async def receive_or_hang_up() -> Message:
            waiting = asyncio.ensure_future(receive())
            try:
                while self._is_logged_in(connection):
                    done, _ = await asyncio.wait({waiting}, timeout=self._looks_again_after_s)
                    if done and self._is_logged_in(connection):
                        return waiting.result()
            finally:
                if not waiting.done():
                    waiting.cancel()
            await send({"type": "websocket.close", "code": 4401})
            return {"type": "websocket.disconnect", "code": 4401}

        return receive_or_hang_up


def _is_near(connection: HTTPConnection) -> bool:
    return is_near(_address(connection))


def _address(connection: HTTPConnection) -> str:
    return connection.client.host if connection.client else ""


def _has_own_origin(connection: HTTPConnection) -> bool:
    return is_own_origin(connection.headers.get("origin"), connection.headers.get("host", ""))


def _ask_for_passphrase(request: Request) -> Response:
    """Answer a browser that opens a page with the login page, everything else with a refusal."""
    if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
        path, query = request.scope["path"], request.scope["query_string"].decode("latin-1")
        asked = f"{quote(path)}?{query}" if query else quote(path)
        return _page(401, _own_path("/" if path == LOGIN_PATH else asked))
    return _plain(401, "The passphrase is needed.")


def _own_path(path: str) -> str:
    """Return a path of this server; whatever could lead elsewhere leads to the first page."""
    parts = urlsplit(path)
    elsewhere = parts.scheme or parts.netloc or "\\" in path or path.startswith("//")
    printable = path.isascii() and path.isprintable()
    return path if path.startswith("/") and printable and not elsewhere else "/"


async def _form_of(request: Request) -> tuple[str, str] | None:
    """Read the passphrase and where to go on; None where more comes than a form can hold."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        return None
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > LARGEST_LOGIN_BYTES:
            return None
    try:
        fields = parse_qs(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=8)
    except ValueError:
        return None
    return fields.get("passphrase", [""])[0], _own_path(fields.get("next", ["/"])[0])


def _page(status: int, next_path: str, notice: str = "") -> Response:
    return HTMLResponse(login_page(next_path, notice), status_code=status, headers=_LOGIN_HEADERS)


def _wait(next_path: str, wait_s: int) -> Response:
    answer = _page(429, next_path, f"Too many wrong passphrases. Wait {wait_s} s, then try again.")
    answer.headers["retry-after"] = str(wait_s)
    return answer


def _plain(status: int, sentence: str) -> Response:
    return PlainTextResponse(sentence, status_code=status, headers={"cache-control": "no-store"})


def _guarded(send: Send) -> Send:
    """Return a send that adds the headers every answer carries."""

    async def send_with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _GUARDING_HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with_headers
