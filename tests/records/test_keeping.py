"""Many rows kept at once: the same history as one by one, whole or not at all."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from lifecycle.process.stages import Role
from lifecycle.records import keeping
from lifecycle.records.keeping import keep_all, take_out_all
from lifecycle.records.models import Component, MuseumObject, Signature, Vocabulary
from tests.builders.core import AT, make_face, make_object, make_person, make_word

pytestmark = pytest.mark.django_db


def told() -> dict[str, Any]:
    return {
        "by": make_person(Role.REGISTRAR),
        "role": "registrar",
        "why": "From a table.",
        "at": AT,
    }


def fresh(count: int) -> list[MuseumObject]:
    kind = make_word(Vocabulary.OBJECT_TYPE, "print")
    return [
        MuseumObject(object_number=f"HCM.{n}", title=f"Print {n}", object_type=kind)
        for n in range(count)
    ]


def entry_of(row: Any) -> dict[str, Any]:
    """The newest history entry with its words, without what differs by number alone."""
    entry = row.history.order_by("-history_id").first()
    values = {
        field.attname: getattr(entry, field.attname)
        for field in entry._meta.concrete_fields
        if field.attname not in ("history_id", "id", "uid", "code", "object_number", "title")
    }
    words = sorted(link.word_id for link in entry.materials.all())
    return values | {"materials": words}


def test_an_entry_made_with_many_equals_one_made_alone() -> None:
    by = told()
    silk = make_word(Vocabulary.MATERIAL, "silk")
    one, two = fresh(2)
    one.keep(**by)
    one.materials.set([silk])
    one.keep(**by)
    keep_all([two], **by, words={"materials": [[silk.pk]]})
    assert entry_of(one) | {"history_type": "+"} == entry_of(two)
    two.maker = one.maker = "A. Turner"
    one.keep(**by)
    keep_all([two], **by, fields=["maker"])
    assert entry_of(one) == entry_of(two)
    assert two.history.first().diff_against(two.history.last()).changed_fields == ["maker"]


def test_words_become_exactly_those_wanted() -> None:
    by = told()
    silk, brass = (make_word(Vocabulary.MATERIAL, code) for code in ("silk", "brass"))
    rows = fresh(2)
    keep_all(rows, **by, words={"materials": [[silk.pk], [silk.pk, brass.pk]]})
    keep_all(rows, **by, words={"materials": [[brass.pk], []]})
    assert [list(row.materials.all()) for row in rows] == [[brass], []]
    assert [entry_of(row)["materials"] for row in rows] == [[brass.pk], []]


def test_a_thousand_rows_ask_no_more_a_row_than_five_hundred() -> None:
    by = told()
    asked = []
    for count in (500, 1000):
        rows = fresh(count)
        for row in rows:
            row.object_number = f"{count}.{row.object_number}"
        with CaptureQueriesContext(connection) as queries:
            keep_all(rows, **by)
        asked.append(len(queries))
    assert asked[1] <= 2 * asked[0]
    assert asked[0] < 60


def test_each_row_has_a_short_code_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = make_object()
    codes = iter([taken.code, "AAAAAAA", "AAAAAAA", "BBBBBBB", "CCCCCCC"])
    monkeypatch.setattr(keeping, "short_code", lambda uid: next(codes))
    rows = fresh(3)
    before = rows[0].uid
    keep_all(rows, **told())
    assert sorted(row.code for row in rows) == ["AAAAAAA", "BBBBBBB", "CCCCCCC"]
    assert rows[0].uid != before


def test_one_bad_row_leaves_none() -> None:
    make_object(object_number="HCM.1")
    with pytest.raises(IntegrityError):
        keep_all(fresh(3), **told())


def test_rows_are_taken_out_with_their_history_left_as_witness() -> None:
    by = told()
    silk = make_word(Vocabulary.MATERIAL, "silk")
    rows = fresh(2)
    keep_all(rows, **by, words={"materials": [[silk.pk], []]})
    keys = [row.pk for row in rows]
    take_out_all(rows, **by)
    assert not MuseumObject.objects.filter(pk__in=keys).exists()
    entries = MuseumObject.history.filter(id__in=keys, history_type="-")
    assert sorted(entries.values_list("id", flat=True)) == sorted(keys)
    assert entries.get(id=keys[0]).materials.get().word_id == silk.pk


def test_the_database_refuses_to_take_out_what_something_hangs_on() -> None:
    face = make_face()
    thing = face.museum_object

    def taken_out_and_committed() -> None:
        with transaction.atomic():
            take_out_all([thing], **told())
            connection.check_constraints()  # asked at the commit, which a test does not reach

    with pytest.raises(IntegrityError):
        taken_out_and_committed()
    assert MuseumObject.objects.filter(pk=thing.pk).exists()
    assert not MuseumObject.history.filter(id=thing.pk, history_type="-").exists()


def test_who_kept_a_row_signs_that_one_entry_and_no_later_one() -> None:
    row = make_object()
    row.keep(**told() | {"why": "Weighed."})
    row.save()
    last, before = row.history.order_by("-history_id")[:2]
    assert (before.history_change_reason, before.history_role) == ("Weighed.", "registrar")
    assert (last.history_change_reason, last.history_role, last.history_user) == (None, "", None)


def test_shortcuts_that_leave_no_history_stay_refused() -> None:
    shortcuts: list[Callable[[], object]] = [
        lambda: MuseumObject.objects.bulk_create(fresh(1)),
        lambda: MuseumObject.objects.update(title="x"),
        lambda: Component.objects.all().delete(),
        lambda: MuseumObject(pk=1).delete(),
        lambda: Signature.objects.all().update(note="x"),
        lambda: Signature.objects.all().delete(),
        lambda: Signature(pk=1).delete(),
        lambda: Signature(pk=1).append(),
    ]
    for shortcut in shortcuts:
        with pytest.raises(TypeError):
            shortcut()
