"""Nobody passes the gate without the passphrase, and no strange page passes it at all."""

import hmac
import itertools
import time

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from scrapeview.serve import gate as gate_module
from scrapeview.serve.sessions import COOKIE, LASTS_S, new_token

PLACES = [
    "/", "/face", "/new-print", "/settings", "/_stcore/health", "/_stcore/host-config",
    "/_stcore/upload_file/a/b", "/media/0123456789abcdef.jpg", "/static/js/index.js",
    "/component/picture/index.html", "/favicon.png", "/app/static/x", "//", "/passphrase/",
]  # fmt: skip
METHODS = ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"]


def test_without_the_passphrase_nothing_is_reached(door):
    for method, path in itertools.product(METHODS, PLACES):
        status, _, text = door.ask(method, path, Origin=door.origin)
        assert status == 401
        assert text == ("" if method == "HEAD" else "The passphrase is needed.")
    assert door.reached.requests == []


def test_a_browser_that_opens_a_page_gets_the_login_page_and_nothing_else(door):
    status, headers, text = door.ask(path="/face?face=3&x=%22", Accept="text/html,*/*;q=0.8")
    assert status == 401
    assert 'name="passphrase"' in text
    assert 'value="/face?face=3&amp;x=%22"' in text
    assert headers["Cache-Control"] == "no-store"
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert not [word for word in ("<script", "src=", "href=", "@import", "url(") if word in text]
    assert door.reached.requests == []


def test_a_websocket_is_refused_before_it_opens(door):
    with pytest.raises(InvalidStatus, match="403"):
        door.websocket()
    assert door.reached.requests == []


def test_the_passphrase_opens_pages_media_uploads_and_the_websocket(door):
    cookie = door.cookie()
    for path in PLACES[:-1]:
        assert door.ask(path=path, Cookie=cookie)[2] == "the dashboard"
    put = door.ask("PUT", "/_stcore/upload_file/a/b", b"x", Origin=door.origin, Cookie=cookie)
    assert put[2] == "the dashboard"
    with door.websocket(cookie) as websocket:
        websocket.send("hello")
        assert websocket.recv(timeout=30) == "hello"


def test_after_it_the_page_asked_for_is_shown(door):
    status, headers, _ = door.log_in(next_path="/face?face=3")
    assert (status, headers["Location"]) == (303, "/face?face=3")


def test_it_never_leads_to_another_server(door):
    for elsewhere in (
        "//evil.example/", "http://evil.example/", "/\\evil.example", "evil", "\\\\evil", "",
        "/\r\nSet-Cookie: a=b", "/\tx",
    ):  # fmt: skip
        assert door.log_in(next_path=elsewhere)[1]["Location"] == "/"


def test_the_cookie_is_kept_from_scripts_and_other_sites(door):
    kept = door.log_in()[1]["Set-Cookie"].lower()
    for wanted in ("httponly", "samesite=strict", "path=/", f"max-age={LASTS_S}"):
        assert wanted in kept.replace(" ", "").split(";")


def test_a_phone_s_capitals_and_hyphens_do_not_matter_but_the_words_do(door):
    assert door.log_in(f" {door.passphrase.title().replace(' ', '-')} ")[0] == 303
    assert door.log_in(door.passphrase.replace(" ", ""))[0] == 401


def test_a_wrong_passphrase_opens_nothing(door):
    for wrong in ("", "wrong", "a" * 5000, "ä ö", "\x00", "acorn " * 4):
        status, headers, text = door.log_in(wrong)
        assert status == 401
        assert "That is not the passphrase." in text
        assert "Set-Cookie" not in headers
        door.attempts_clock.now += 3600
    assert door.reached.requests == []


def test_a_form_that_is_none_is_refused_without_reading_it_all(door):
    assert door.log_in("a" * 9000)[0] == 413
    assert door.log_in(Content_Type="application/json")[0] == 413
    assert door.ask("POST", "/passphrase", b"\xff\xfe", Origin=door.origin)[0] == 413
    many = b"&".join(b"a=1" for _ in range(20))
    asked = {"Origin": door.origin, "Content_Type": "application/x-www-form-urlencoded"}
    assert door.ask("POST", "/passphrase", many, **asked)[0] == 413


def test_a_tampered_cookie_opens_nothing(door):
    name, token = door.cookie().split("=", 1)
    assert door.ask(Cookie=f"{name}={token}")[0] == 200
    # the last character of a signature may hold bits that count for nothing
    for at in range(len(token) - 1):
        spoilt = token[:at] + ("A" if token[at] != "A" else "B") + token[at + 1 :]
        assert door.ask(Cookie=f"{name}={spoilt}")[0] == 401
    with pytest.raises(InvalidStatus):
        door.websocket(f"{name}={spoilt}")


def test_a_made_up_cookie_opens_nothing(door):
    for made_up in ("", "1", "a.b.c", ".", "..", "\xe9", "x" * 5000):
        assert door.ask(Cookie=f"{COOKIE}={made_up}")[0] == 401


def test_a_login_ends_after_a_week(door):
    cookie = door.cookie()
    door.clock.now += LASTS_S - 1
    assert door.ask(Cookie=cookie)[0] == 200
    door.clock.now += 2
    assert door.ask(Cookie=cookie)[0] == 401


def test_a_page_left_open_is_hung_up_when_its_login_ends(door):
    with door.websocket(door.cookie()) as websocket:
        door.clock.now += LASTS_S + 1
        with pytest.raises(ConnectionClosed):
            websocket.recv(timeout=30)


def test_a_new_passphrase_ends_the_old_one_and_all_its_logins(door):
    cookie, old = door.cookie(), door.passphrase
    with door.websocket(cookie) as websocket:
        new = door.lock_file.renew()
        assert door.ask(Cookie=cookie)[0] == 401
        with pytest.raises(ConnectionClosed):
            websocket.recv(timeout=30)
    assert door.log_in(old)[0] == 401
    assert door.log_in(new)[0] == 303


def test_a_login_of_another_shop_s_key_opens_nothing(door, tmp_path):
    other = type(door.lock_file)(tmp_path / "other")
    other.renew()
    assert door.ask(Cookie=f"{COOKIE}={new_token(other.lock(), door.clock)}")[0] == 401


def test_without_its_file_nobody_gets_in(door):
    cookie = door.cookie()
    door.lock_file.path.unlink()
    assert door.ask(Cookie=cookie)[0] == 401
    assert door.log_in()[0] == 503


def test_passphrase_and_cookie_are_compared_in_constant_time(door, monkeypatch):
    compared = []

    def noted(a, b):
        compared.append(len(a))
        return real(a, b)

    real = hmac.compare_digest
    monkeypatch.setattr(hmac, "compare_digest", noted)
    door.log_in("wrong words are here")
    assert len(compared) == 1
    cookie = door.cookie()
    assert len(compared) == 2
    door.ask(Cookie=cookie)
    assert len(compared) == 3


def test_wrong_passphrases_have_to_wait_longer_and_longer(door):
    for _ in range(3):
        assert door.log_in("wrong")[0] == 401
    waits = []
    for _ in range(8):
        status, headers, text = door.log_in()
        assert status == 429
        assert f"Wait {headers['Retry-After']} s" in text
        waits.append(int(headers["Retry-After"]))
        door.attempts_clock.now += waits[-1]
        assert door.log_in("wrong")[0] == 401
    assert waits == [1, 2, 4, 8, 16, 32, 60, 60]
    door.attempts_clock.now += 60
    assert door.log_in()[0] == 303


def test_a_wrong_passphrase_takes_its_time(door):
    began = time.perf_counter()
    door.log_in("wrong")
    assert time.perf_counter() - began > 0.02


def test_who_is_logged_in_goes_on_while_others_are_kept_waiting(door):
    cookie = door.cookie()
    for _ in range(30):
        door.log_in("wrong")
    assert door.ask(Cookie=cookie)[0] == 200


STRANGE_HOSTS = ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "", "a b",
                 "8.8.8.8", "user@localhost", "localhost/x", "[::1", "localhost:x"]  # fmt: skip


def test_a_strange_name_that_leads_here_is_refused(door, bench_door):
    for opened, host in itertools.product((door, bench_door), STRANGE_HOSTS):
        assert opened.ask(Host=host)[0] in (400, 421)
        assert opened.reached.requests == []


def test_this_computer_s_own_names_are_answered(bench_door):
    for host in ("localhost:1", "LOCALHOST", "127.0.0.1", "[::1]:8501"):
        assert bench_door.ask(Host=host)[0] == 200


def test_only_the_network_s_server_answers_to_an_address_of_the_network(door, bench_door):
    assert door.ask(Host="192.168.1.20:8501", Cookie=door.cookie())[0] == 200
    assert bench_door.ask(Host="192.168.1.20:8501")[0] == 421


STRANGE_ORIGINS = ["http://evil.example", "null", "http://localhost", "http://127.0.0.1:1",
                   "https://127.0.0.1", "file://"]  # fmt: skip


def test_a_strange_page_can_neither_send_nor_open_a_websocket(door, bench_door):
    for opened, origin in itertools.product((door, bench_door), STRANGE_ORIGINS):
        cookie = door.cookie() if opened is door else None
        headers = {"Origin": origin, **({"Cookie": cookie} if cookie else {})}
        for method in ("POST", "PUT", "DELETE"):
            assert opened.ask(method, "/_stcore/upload_file/a/b", b"x", **headers)[0] == 403
        with pytest.raises(InvalidStatus, match="403"):
            opened.websocket(cookie, origin=origin)
        assert opened.log_in(Origin=origin)[0] == 403
        assert [kind for kind, _ in opened.reached.requests] == []


def test_who_sends_without_an_origin_is_refused(bench_door):
    assert bench_door.ask("PUT", "/_stcore/upload_file/a/b", b"x")[0] == 403


def test_on_this_computer_no_passphrase_is_asked(bench_door):
    assert bench_door.ask()[2] == "the dashboard"
    assert bench_door.ask(path="/passphrase")[2] == "the dashboard"
    with bench_door.websocket() as websocket:
        websocket.send("hello")
        assert websocket.recv(timeout=30) == "hello"


def test_who_calls_from_the_internet_is_not_answered(door, monkeypatch):
    monkeypatch.setattr(gate_module, "_address", lambda _: "8.8.8.8")
    status, _, text = door.ask(Accept="text/html")
    assert (status, text) == (403, "Only the shop's own network is answered.")


def test_no_other_site_may_put_the_pages_into_a_frame(bench_door):
    headers = bench_door.ask()[1]
    assert headers["X-Frame-Options"] == "SAMEORIGIN"
    assert headers["X-Content-Type-Options"] == "nosniff"
