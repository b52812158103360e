"""A gate that really listens, before a dashboard that only says that it was reached."""

import http.client
import socket
import threading
import time
from contextlib import contextmanager
from urllib.parse import urlencode

import pytest
import uvicorn
from websockets.sync.client import connect

from scrapeview.serve.attempts import Attempts
from scrapeview.serve.gate import Gate
from scrapeview.serve.passphrase import LockFile


class Clock:
    """Time that stands until it is moved."""

    def __init__(self):
        self.now = 1_800_000_000.0

    def __call__(self):
        return self.now


class Reached:
    """Stands for the dashboard: notes what came through, and echoes on a websocket."""

    def __init__(self):
        self.requests = []

    async def __call__(self, scope, receive, send):
        if scope["type"] == "lifespan":
            while True:
                message = await receive()
                await send({"type": f"{message['type']}.complete"})
                if message["type"] == "lifespan.shutdown":
                    return
        self.requests.append((scope["type"], scope["path"]))
        if scope["type"] == "http":
            headers = [(b"content-type", b"text/plain")]
            await send({"type": "http.response.start", "status": 200, "headers": headers})
            await send({"type": "http.response.body", "body": b"the dashboard"})
            return
        await receive()
        await send({"type": "websocket.accept"})
        while (message := await receive())["type"] == "websocket.receive":
            await send({"type": "websocket.send", "text": message["text"]})


class Door:
    """A gate that listens, and somebody who knocks at it."""

    def __init__(self, port, lock_file, passphrase, clock, attempts_clock, reached):
        self.port = port
        self.lock_file = lock_file
        self.passphrase = passphrase
        self.clock = clock
        self.attempts_clock = attempts_clock
        self.reached = reached
        self.host = f"127.0.0.1:{port}"
        self.origin = f"http://{self.host}"

    def ask(self, method="GET", path="/", body=None, address="127.0.0.1", **headers):
        """Send one request and return status, headers and text of its answer."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        link = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=30, source_address=(address, 0)
        )
        try:
            link.request(method, path, body, {"Host": self.host, **named})
            answer = link.getresponse()
            return answer.status, answer.headers, answer.read().decode()
        finally:
            link.close()

    def log_in(self, passphrase=None, next_path="/", **more):
        """Send the form of the login page as a browser does."""
        typed = self.passphrase if passphrase is None else passphrase
        headers = {
            "Origin": self.origin, "Content-Type": "application/x-www-form-urlencoded", **more
        }  # fmt: skip
        form = urlencode({"passphrase": typed, "next": next_path})
        return self.ask("POST", "/passphrase", form, **headers)

    def cookie(self):
        """Log in and return the cookie as a browser sends it back."""
        status, headers, _ = self.log_in()
        assert status == 303
        return headers["Set-Cookie"].split(";")[0]

    def websocket(self, cookie=None, origin=None, host=None):
        """Open a websocket as a page of the dashboard does."""
        headers = {"Cookie": cookie} if cookie else {}
        raw = socket.create_connection(("127.0.0.1", self.port), timeout=30)
        return connect(
            f"ws://{host or self.host}/_stcore/stream", sock=raw, origin=origin or self.origin,
            additional_headers=headers, open_timeout=30, compression=None,
        )  # fmt: skip


@contextmanager
def listening(lock_file, passphrase):
    clock, attempts_clock, reached = Clock(), Clock(), Reached()
    gate = Gate(
        reached, lock_file, clock=clock, attempts=Attempts(attempts_clock), looks_again_after_s=0.05
    )
    config = uvicorn.Config(
        gate, ws="websockets-sansio", log_level="warning", access_log=False, proxy_headers=False,
        timeout_graceful_shutdown=1,
    )  # fmt: skip
    server = uvicorn.Server(config)
    with socket.socket() as raw:
        raw.bind(("127.0.0.1", 0))
        raw.listen(64)
        thread = threading.Thread(target=server.run, args=([raw],))
        thread.start()
        try:
            deadline = time.monotonic() + 30
            while not server.started and time.monotonic() < deadline:
                time.sleep(0.01)
            yield Door(raw.getsockname()[1], lock_file, passphrase, clock, attempts_clock, reached)
        finally:
            server.should_exit = True
            thread.join(30)


@pytest.fixture
def door(tmp_path):
    """The shop's network, behind a passphrase."""
    lock_file = LockFile(tmp_path)
    with listening(lock_file, lock_file.renew()) as opened:
        yield opened


@pytest.fixture
def bench_door():
    """This computer only, without a passphrase."""
    with listening(None, "") as opened:
        yield opened
