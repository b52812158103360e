"""Which names and addresses are this server's own, and what a phone is shown of them."""

import ipaddress

import pytest

from scrapeview.serve import addresses
from scrapeview.serve.reached import is_near, is_own_host, is_own_origin


@pytest.mark.parametrize(
    "address",
    ["127.0.0.1", "192.168.1.20", "10.1.2.3", "172.20.0.5", "169.254.3.4", "100.64.0.9", "::1",
     "fe80::1", "fd00::7", "::ffff:192.168.1.20"],
)  # fmt: skip
def test_private_addresses_are_near(address):
    assert is_near(address)


@pytest.mark.parametrize(
    "address", ["8.8.8.8", "2606:4700::1111", "::ffff:8.8.8.8", "", "testclient", "1"]
)
def test_others_are_not(address):
    assert not is_near(address)


def test_own_names_count_on_the_network_only(monkeypatch):
    monkeypatch.setattr("socket.gethostname", lambda: "Bench.shop.lan")
    for name in ("bench.shop.lan", "BENCH.local:8501", "bench.local."):
        assert is_own_host(name, lan=True)
        assert not is_own_host(name, lan=False)
    assert not is_own_host("other.local", lan=True)


def test_an_origin_is_the_host_itself():
    assert is_own_origin("http://192.168.1.20:8501", "192.168.1.20:8501")
    assert is_own_origin("http://bench.local", "BENCH.local")
    for strange in (None, "", "null", "http://192.168.1.20", "https://192.168.1.20:8501",
                    "http://192.168.1.20:8501.evil.example"):  # fmt: skip
        assert not is_own_origin(strange, "192.168.1.20:8501")


def test_the_addresses_shown_are_of_networks_and_each_once():
    shown = addresses.network_addresses()
    assert len(set(shown)) == len(shown)
    for address in map(ipaddress.ip_address, shown):
        assert not address.is_loopback
        assert not address.is_global


def test_addresses_nobody_of_the_shop_could_use_are_left_out(monkeypatch):
    monkeypatch.setattr(addresses, "_address_towards", lambda _: "8.8.8.8")
    monkeypatch.setattr(
        addresses, "_addresses_of_own_name", lambda: ["127.0.1.1", "", "192.168.1.20", "0.0.0.0"]
    )
    assert addresses.network_addresses() == ("192.168.1.20",)


def drawn_modules(text):
    """Rows of a code's dark (1) and light (0) squares; a light one is a drawn block."""
    halves = {"█": (0, 0), "▀": (0, 1), "▄": (1, 0), " ": (1, 1)}
    rows = []
    for line in text.splitlines():
        top, bottom = zip(*(halves[block] for block in line), strict=True)
        rows += [top, bottom]
    return rows


def test_the_qr_code_holds_the_address():
    import cv2
    import numpy as np

    url = "http://192.168.178.20:8501"
    modules = np.array(drawn_modules(addresses.qr_text(url, coloured=False)))
    picture = np.kron(np.where(modules, 0, 255), np.ones((8, 8))).astype(np.uint8)
    picture = np.pad(picture, 40, constant_values=255)
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == url


def test_a_terminal_of_any_colour_shows_it_white_on_black():
    plain = addresses.qr_text("http://10.0.0.1", coloured=False).splitlines()
    coloured = addresses.qr_text("http://10.0.0.1", coloured=True).splitlines()
    assert coloured == [f"\033[97;40m{line}\033[0m" for line in plain]
