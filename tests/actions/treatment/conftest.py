"""What the tests of treatment share."""

import pytest

from tests.actions.treatment.lab import Lab


@pytest.fixture
def lab() -> Lab:
    return Lab()
