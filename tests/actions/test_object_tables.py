"""A table of objects: in once, twice, back again; bad lines named, nothing half-written."""

from datetime import timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.db.models import QuerySet

from lifecycle.actions.objects import bringing_in, writing_in
from lifecycle.actions.objects.taking_back import ask_to_take_back
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.object_table.comparing import plan_of
from lifecycle.jobs import object_tables
from lifecycle.jobs.sweep import do_work
from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Face,
    MuseumObject,
    Work,
    WorkState,
)
from tests.builders.core import AT, kept_by, make_person, make_showing
from tests.builders.object_table import (
    brought,
    digest,
    histories,
    plain,
    sample,
    table_bytes,
    taken_back,
    written,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("lists")]


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


def test_every_row_is_written_with_person_role_reason_and_words() -> None:
    registrar = make_person(Role.REGISTRAR)
    written([plain(materials="silk; brass", face="front")], by=registrar)
    stored = MuseumObject.objects.get()
    entry = stored.history.get()
    assert (entry.history_user, entry.history_role) == (registrar, "registrar")
    assert entry.history_type == "+"
    assert "objects.csv" in entry.history_change_reason
    assert {link.word.label for link in entry.materials.all()} == {"silk", "brass"}
    assert Face.history.get().history_user == registrar
    assert stored.code
    written([plain(materials="silk")])
    newest = stored.history.latest()
    assert newest.history_type == "~"
    assert {link.word.label for link in newest.materials.all()} == {"silk"}
    assert newest.prev_record == entry


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
    assert MuseumObject.history.filter(history_type="-").count() == 20
    with pytest.raises(Refused, match="taken back already"):
        taken_back(work)


def test_what_others_have_built_on_stays_and_is_named() -> None:
    written([plain("HCM.1", maker="A")])
    work = written(
        [
            plain("HCM.1", maker="B", date="about 1900", face="front"),
            *(plain(f"HCM.{n}", face="front") for n in (2, 3, 4)),
        ]
    )
    one, two, three = (MuseumObject.objects.get(object_number=f"HCM.{n}") for n in (1, 2, 3))
    one.maker = "C"
    one.keep(**kept_by())
    make_showing(museum_object=two)
    face = three.faces.get()
    face.landmark = "seen"
    face.keep(**kept_by())
    back = taken_back(work)
    left = dict(back.results["left"])
    assert "Maker stays “C”" in left["HCM.1"]
    assert "a showing hangs on it" in left["HCM.2"]
    assert "changed since" in left["HCM.3"]
    assert sorted(MuseumObject.objects.values_list("object_number", flat=True)) == [
        *("HCM.1", "HCM.2", "HCM.3")
    ]
    one.refresh_from_db()
    assert (one.maker, one.date_text, one.faces.count()) == ("C", "", 0)


def test_the_last_part_of_a_broken_piece_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(object_tables, "PIECE", 10)
    person = make_person(Role.REGISTRAR)
    work = brought(sample(30), by=person)
    bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
    calls = []

    def breaks(**more: Any) -> bool:
        calls.append(more)
        if len(calls) == 2:
            raise RuntimeError("the light went out")
        return real(**more)

    real = writing_in.note
    with patch.object(writing_in, "note", breaks):
        do_work(str(work.uid))
    work.refresh_from_db()
    assert (work.state, work.done) == (WorkState.WAITING, 10)
    assert MuseumObject.objects.count() == 10
    assert Face.history.count() == Face.objects.count()
    do_work(str(work.uid))
    work.refresh_from_db()
    assert work.results == {"new": 30, "changed": 0, "unchanged": 0, "bad": []}
    assert MuseumObject.history.count() == 30


def test_a_stop_keeps_what_is_in_and_the_rest_can_be_brought_or_taken_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(object_tables, "PIECE", 10)
    before = digest()
    person = make_person(Role.REGISTRAR)
    work = brought(sample(30), by=person)
    bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
    held = rows.claim(uid=str(work.uid), worker="one", at=AT)
    assert held is not None
    rows.stop(uid=str(work.uid), by=person, role=Role.REGISTRAR, at=AT)
    assert object_tables.import_objects(held) is None
    work.refresh_from_db()
    assert (work.state, MuseumObject.objects.count()) == (WorkState.STOPPED, 10)
    assert taken_back(work).results["taken_out"] == 10
    assert digest() == before


def test_a_worker_that_lost_the_table_writes_nothing_more() -> None:
    person = make_person(Role.REGISTRAR)
    work = brought(sample(5), by=person)
    bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
    first = rows.claim(uid=str(work.uid), worker="one", at=AT)
    later = AT + rows.LEASE + timedelta(seconds=1)
    assert first is not None
    assert rows.claim(uid=str(work.uid), worker="two", at=later) is not None
    assert object_tables.import_objects(first) is None
    assert MuseumObject.objects.count() == 0


def test_what_somebody_wrote_between_preview_and_writing_stays() -> None:
    written([plain("HCM.1"), plain("HCM.2")])
    person = make_person(Role.REGISTRAR)
    work = brought([plain("HCM.1", marks="a stamp"), plain("HCM.2", maker="B")], by=person)
    bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
    one = MuseumObject.objects.get(object_number="HCM.1")
    one.maker = "A"
    one.keep(**kept_by())
    do_work(str(work.uid))
    one.refresh_from_db()
    assert (one.maker, one.marks) == ("A", "a stamp")


def test_objects_are_locked_before_they_are_read_to_be_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    written([plain("HCM.1")])
    order: list[str] = []
    real = QuerySet.select_for_update

    def locking(rows: Any, *args: Any, **more: Any) -> Any:
        order.append(f"lock {rows.model.__name__}")
        return real(rows, *args, **more)

    monkeypatch.setattr(QuerySet, "select_for_update", locking)

    def reading(*args: Any) -> Any:
        order.append("read")
        return plan_of(*args)

    monkeypatch.setattr(writing_in, "plan_of", reading)
    work = written([plain("HCM.1", maker="A")])
    assert order[-2:] == ["lock MuseumObject", "read"]
    order.clear()
    taken_back(work)
    assert "lock MuseumObject" in order


def test_a_steward_s_table_names_no_other_source_community_and_a_registrar_s_does() -> None:
    steward: dict[str, Any] = {"by": make_person(Role.STEWARD), "role": Role.STEWARD}
    written([plain("HCM.1", community="Tern Ferry families")], **steward)
    other = [plain("HCM.1", community="Halse Moor families")]
    ((_, _, why),) = written(other, **steward).results["bad"]
    assert "only a registrar or the head of collections names another" in why
    assert written([plain("HCM.1")], **steward).results["unchanged"] == 1
    assert written(other).results["changed"] == 1


def test_somebody_elses_table_is_stopped_by_the_steward_alone() -> None:
    work = brought(sample(1), by=make_person(Role.REGISTRAR))
    other, steward = make_person(Role.REGISTRAR), make_person(Role.STEWARD)
    bringing_in.go_ahead(by=other, role=Role.REGISTRAR, at=AT, uid=work.uid)
    third = make_person(Role.REGISTRAR)
    with pytest.raises(NotAllowed):
        rows.stop(uid=str(work.uid), by=third, role=Role.REGISTRAR, at=AT)
    rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)


@pytest.mark.parametrize("role", list(Role))
def test_tables_are_brought_by_those_who_keep_cards_for_the_house(role: Role) -> None:
    person = make_person(role)
    if role in (Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS, Role.STEWARD):
        work = brought([plain()], by=person, role=role)
        bringing_in.go_ahead(by=person, role=role, at=AT, uid=work.uid)
        return
    with pytest.raises(NotAllowed):
        brought([plain()], by=person, role=role)
    theirs = brought([plain()], by=make_person(Role.REGISTRAR))
    for act in (bringing_in.go_ahead, bringing_in.put_aside, ask_to_take_back):
        with pytest.raises(NotAllowed):
            act(by=person, role=role, at=AT, uid=theirs.uid)


def test_a_right_that_ended_meanwhile_stops_the_worker() -> None:
    person = make_person(Role.REGISTRAR)
    work = brought([plain()], by=person)
    bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
    person.ends_on = AT.date() - timedelta(days=1)
    person.keep(**kept_by())
    do_work(str(work.uid))
    work.refresh_from_db()
    assert MuseumObject.objects.count() == 0
    assert "may not do this" in work.doing


def test_nothing_can_be_chosen_for_a_table_that_was_handed_on() -> None:
    person = make_person(Role.REGISTRAR)
    work = brought([plain()], by=person)
    who: dict[str, Any] = {"by": person, "role": Role.REGISTRAR, "at": AT, "uid": work.uid}
    bringing_in.go_ahead(**who)
    for act in (bringing_in.go_ahead, bringing_in.put_aside):
        with pytest.raises(Refused):
            act(**who)
    with pytest.raises(Refused):
        bringing_in.choose_columns(**who, keys=work.inputs["keys"])
    with pytest.raises(Refused, match="not in yet"):
        ask_to_take_back(**who)


def test_the_columns_chosen_for_headings_are_remembered() -> None:
    person = make_person(Role.REGISTRAR)
    data = b"Inv,What,Sort of thing,Bin\n1,Rain gauge,print,x\n"
    work = brought(data, by=person)
    assert work.inputs["keys"] == ["", "", "", ""]
    keys = ["object_number", "title", "object_type", ""]
    who: dict[str, Any] = {"by": person, "role": Role.REGISTRAR, "at": AT}
    with pytest.raises(Refused, match="object number"):
        bringing_in.choose_columns(**who, uid=work.uid, keys=["", "title", "object_type", ""])
    with pytest.raises(Refused, match="already"):
        bringing_in.choose_columns(
            **who, uid=work.uid, keys=["title", "title", "object_number", ""]
        )
    bringing_in.choose_columns(**who, uid=work.uid, keys=keys)
    bringing_in.go_ahead(**who, uid=work.uid)
    assert brought(data, by=person).inputs["keys"] == keys


def test_a_file_that_is_no_table_is_refused_beside_its_field() -> None:
    person = make_person(Role.REGISTRAR)
    for data in (b"", b"\x89PNG\r\n", b"object number,title\n"):
        with pytest.raises(Refused) as refused:
            brought(data, by=person)
        assert refused.value.reasons[0].field == "table"
    assert not Work.objects.exists()


def test_nothing_else_is_read_from_a_table_than_its_columns() -> None:
    assert table_bytes([plain()]).startswith(b"\xef\xbb\xbfobject number,title,object type")
