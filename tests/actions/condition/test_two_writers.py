"""Two people save at one moment: real threads, a real database, SQLite or PostgreSQL."""

import pytest

from tests.actions.test_two_people_one_move import own_database, run

__all__ = ["own_database"]


@pytest.mark.slow
def test_in_one_section_one_is_told_and_in_two_sections_both_are_saved(
    own_database: str,
) -> None:
    found = run("condition.two_writers", own_database)
    told, saved = found["one"]
    stands = found["stand"]["support"]
    assert saved == "saved"
    assert told.startswith(f"conflict: {stands} / seen by ")
    assert not told.endswith(stands)
    assert found["two"] == ["saved", "saved"]
    assert found["stand"]["medium"] == "seen by Marit Oldacre"
    assert found["stand"]["binding"] == "seen by Piers Hallam"
