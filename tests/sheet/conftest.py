"""A reading whose face the tests of this room replace, and advice that there is nothing to do."""

import pytest

from scrapeview.judge.next.next_pass import next_pass
from scrapeview.targets import NO_TARGET


@pytest.fixture(scope="session")
def base(reading):
    return reading("plain", 2)


@pytest.fixture(scope="session")
def halted(reading):
    return next_pass(reading("plain", 2), NO_TARGET, done=True)
