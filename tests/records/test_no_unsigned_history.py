"""No entry of the history without its reason: lists of other rows are signed with their row."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.apps import apps

from lifecycle.records.base import Kept
from lifecycle.records.models import Vocabulary
from tests.builders.core import kept_by, make_object, make_word

SOURCE = Path(__file__).resolve().parents[2] / "lifecycle"


def kept_lists() -> set[str]:
    """The many-to-many fields of every kept model."""
    return {
        field.name
        for model in apps.get_app_config("records").get_models()
        if issubclass(model, Kept)
        for field in model._meta.many_to_many
    }


@pytest.mark.django_db
def test_a_list_leaves_one_signed_entry_with_its_row() -> None:
    thing = make_object()
    before = thing.history.count()
    thing.put_lists(materials=[make_word(Vocabulary.MATERIAL, "silk")])
    assert thing.history.count() == before
    thing.keep(**kept_by() | {"why": "Materials named.", "at": datetime(2026, 6, 1, tzinfo=UTC)})
    (last, *earlier) = thing.history.order_by("-history_id")
    assert len(earlier) == before
    assert last.history_change_reason == "Materials named."
    assert [link.word.code for link in last.materials.all()] == ["silk"]


def test_no_code_sets_a_list_without_the_row_that_signs_it() -> None:
    names = "|".join(sorted(kept_lists()))
    assert "curators" in names
    unsigned = re.compile(rf"\.({names})\.(set|add|remove|clear)\(")
    found = [
        f"{path.relative_to(SOURCE)}: {line.strip()}"
        for path in SOURCE.rglob("*.py")
        for line in path.read_text().splitlines()
        if unsigned.search(line)
    ]
    assert found == []
