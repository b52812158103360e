"""Waits grow for who guesses; the bench and who knows the passphrase are not locked out."""

import itertools

import pytest

from scrapeview.serve.attempts import (
    FORGOTTEN_AFTER_S,
    FREE_TRIES,
    FREE_TRIES_OF_ALL,
    LONGEST_WAIT_OF_ALL_S,
    LONGEST_WAIT_S,
    Attempts,
)


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def attempts(clock):
    return Attempts(clock)


def guesses_within(attempts, clock, seconds, addresses):
    """How many guesses get through, where every address tries again every half second."""
    count = 0
    for _ in range(seconds * 2):
        count += sum(attempts.begin(address) == 0 for address in addresses)
        clock.now += 0.5
    return count


def test_one_address_makes_few_guesses_an_hour(attempts, clock):
    assert FREE_TRIES < guesses_within(attempts, clock, 3600, ["192.168.1.66"]) < 75


def test_a_whole_network_makes_few_guesses_an_hour(attempts, clock):
    everybody = [f"192.168.1.{n}" for n in range(10, 30)]
    made = guesses_within(attempts, clock, 3600, everybody)
    assert FREE_TRIES_OF_ALL < made < FREE_TRIES_OF_ALL + 3600 / LONGEST_WAIT_OF_ALL_S + 10


def test_waiting_is_not_made_longer_by_asking(attempts, clock):
    for _ in range(FREE_TRIES):
        assert attempts.begin("192.168.1.66") == 0
    waits = [attempts.begin("192.168.1.66") for _ in range(50)]
    assert waits == [waits[0]] * 50
    clock.now += waits[0]
    assert attempts.begin("192.168.1.66") == 0


def test_no_wait_is_longer_than_a_minute(attempts, clock):
    guesses_within(attempts, clock, 1800, ["192.168.1.66"])
    assert 0 < attempts.begin("192.168.1.66") <= LONGEST_WAIT_S == 60


def test_the_bench_does_not_wait_for_what_others_tried(attempts, clock):
    guesses_within(attempts, clock, 300, [f"192.168.1.{n}" for n in range(10, 30)])
    assert attempts.begin("192.168.1.200") > 0
    assert attempts.begin("127.0.0.1") == 0
    assert attempts.begin("::1") == 0


def test_a_phone_that_knew_the_passphrase_does_not_wait_for_what_others_tried(attempts, clock):
    assert attempts.begin("192.168.1.7") == 0
    attempts.succeeded("192.168.1.7")
    guesses_within(attempts, clock, 300, [f"192.168.1.{n}" for n in range(10, 30)])
    assert attempts.begin("192.168.1.7") == 0


def test_a_phone_that_is_new_waits_ten_seconds_at_most_for_what_others_tried(attempts, clock):
    guesses_within(attempts, clock, 300, [f"192.168.1.{n}" for n in range(10, 30)])
    assert attempts.begin("192.168.1.200") <= LONGEST_WAIT_OF_ALL_S == 10


def test_the_right_passphrase_clears_the_wrong_ones(attempts):
    for _ in range(FREE_TRIES):
        assert attempts.begin("192.168.1.7") == 0
    attempts.succeeded("192.168.1.7")
    assert [attempts.begin("192.168.1.7") for _ in range(FREE_TRIES)] == [0] * FREE_TRIES


def test_wrong_tries_are_forgotten_after_a_while(attempts, clock):
    for _ in range(FREE_TRIES):
        attempts.begin("192.168.1.66")
    assert attempts.begin("192.168.1.66") > 0
    clock.now += FORGOTTEN_AFTER_S + 1
    assert [attempts.begin("192.168.1.66") for _ in range(FREE_TRIES)] == [0] * FREE_TRIES


def test_many_at_once_gain_nothing(attempts):
    """What is begun counts before it is known to be wrong."""
    through = [attempts.begin("192.168.1.66") == 0 for _ in range(100)]
    assert sum(through) == FREE_TRIES


def test_guessing_from_ever_new_addresses_fills_no_memory(attempts, clock):
    for number in itertools.islice(itertools.count(), 3000):
        attempts.begin(f"10.0.{number // 250}.{number % 250}")
        clock.now += 0.1
    assert len(attempts._by_address) < 100
