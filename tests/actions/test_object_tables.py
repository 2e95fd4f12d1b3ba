"""A table of objects: in once, twice, back again; bad lines named, nothing half-written."""

import pytest

from lifecycle.records.models import Face, MuseumObject, WorkState
from tests.builders.object_table import (
    digest,
    histories,
    make_lists,
    sample,
    taken_back,
    written,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def lists() -> None:
    make_lists()


def test_three_hundred_objects_come_in_and_again_changes_nothing() -> None:
    work = written(sample(300))
    assert work.state == WorkState.DONE, work.doing
    assert work.results == {"new": 300, "changed": 0, "unchanged": 0, "bad": []}
    assert MuseumObject.objects.count() == 300
    assert Face.objects.count() == 360
    before, entries = digest(), histories()
    again = written(sample(300))
    assert again.results == {"new": 0, "changed": 0, "unchanged": 300, "bad": []}
    assert (digest(), histories()) == (before, entries)


def test_a_table_taken_back_leaves_what_was_before() -> None:
    written(sample(20))
    before = digest()
    lines = sample(40)
    for line in lines:
        if "title" in line:
            line["title"] += ", rebound"
            line["materials"] = "brass"
            line["hazards"] = "lead"
            line["size:open:height"], line["size:open:width"] = "1", "2"
            line["landmark"] = "a blot"
    lines.append({"object_number": "HCM.1901.1", "face": "spine"})
    work = written(lines)
    assert work.results == {"new": 20, "changed": 20, "unchanged": 0, "bad": []}
    assert digest() != before
    back = taken_back(work)
    assert back.state == WorkState.DONE, back.doing
    assert back.results["left"] == []
    assert digest() == before
