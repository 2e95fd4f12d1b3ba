"""What happens twice at one moment is told once: real threads, SQLite or PostgreSQL."""

import pytest

from tests.actions.test_two_people_one_move import own_database, run

__all__ = ["own_database"]


@pytest.mark.slow
def test_two_readings_two_registrars_and_two_workers_write_one_mail_a_person(
    own_database: str,
) -> None:
    assert run("two_alarms", own_database) == {
        "above-ceiling": [1, 1],
        "clause/": [1],
        "last-day/": [1, 1, 1, 1],
    }
