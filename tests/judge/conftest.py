"""A reading whose contact and points the tests of this room replace by their own."""

import pytest


@pytest.fixture(scope="session")
def base(reading):
    return reading("plain", 2)
