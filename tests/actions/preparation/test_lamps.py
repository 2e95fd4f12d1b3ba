"""Lamps of a case as rows: who changed which when, and what has to be measured or run again.

That a lamp in the air of a case warms it is common practice, from memory.
"""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.preparation.lamps import LampChanged, LampSaid, take_lamp_out, write_lamp
from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.process.gates.preparing import case_is_proven, light_is_under_the_ceiling
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.preparation.cases import lines_of
from lifecycle.queries.preparation.lamps import lighting
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import LightEvent
from lifecycle.records.models.preparation import (
    CaseReadiness,
    Lamp,
    LampKind,
    LampWhere,
    UvKnownFrom,
)
from tests.actions.preparation.test_case_readiness import case
from tests.actions.preparation.test_cases_and_housing import prove
from tests.builders.core import AT, kept_by, make_person, make_place
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


SAID = LampSaid(
    name="L1",
    where=LampWhere.INSIDE,
    position="left, under the lid",
    kind=LampKind.LED,
    power_w=Decimal(6),
    filter="UV film",
    uv=Decimal(8),
    uv_known_from=UvKnownFrom.MEASURED,
    distance_mm=620,
    dim_percent=60,
    aim="opening A",
)


def hang(
    shop: Workshop, lamp: Lamp | None = None, *, after: int = 0, really: bool = True, **values: Any
) -> Lamp:
    return write_lamp(
        **shop.conservator(after=after),
        place=shop.place,
        said=replace(SAID, **values),
        changed=LampChanged(at=AT + after * HOUR, by=shop.rufus, really=really),
        lamp=lamp,
        edition=lamp.edition if lamp else 0,
    )


def codes(shop: Workshop, gate: Any) -> list[str]:
    return [reason.text for reason in gate(facts_of_one(shop.showing, AT + 9 * HOUR))]


def test_a_lamp_keeps_who_changed_it_when_and_its_history(shop: Workshop) -> None:
    row = hang(shop)
    again = hang(shop, row, after=2, aim="opening B")
    assert (again.changed_by, again.changed_at) == (shop.rufus, AT + 2 * HOUR)
    assert [one.aim for one in again.history.order_by("history_id")] == ["opening A", "opening B"]
    assert again.history.first().history_change_reason == "lamp changed: aim"


def test_a_changed_lamp_asks_for_the_light_to_be_measured_again_and_says_why(
    shop: Workshop,
) -> None:
    row = hang(shop, really=False)
    prove(shop)
    assert codes(shop, light_is_under_the_ceiling) == []
    hang(shop, row, after=2, dim_percent=80)
    (text,) = codes(shop, light_is_under_the_ceiling)
    assert "L1: level 60 % to 80 %" in text
    assert "Measure it again" in text
    assert LightEvent.objects.get().what == "dimmed"


def test_a_record_that_is_put_right_changes_no_light(shop: Workshop) -> None:
    row = hang(shop, really=False)
    prove(shop)
    kept = hang(shop, row, after=2, really=False, dim_percent=80, aim="opening B")
    assert codes(shop, light_is_under_the_ceiling) == []
    assert not LightEvent.objects.exists()
    assert (kept.changed_at, kept.dim_percent) == (AT, 80)


@pytest.mark.parametrize(
    ("values", "event"),
    [
        ({"kind": LampKind.HALOGEN, "aim": "all of it"}, "lamp_replaced"),
        ({"aim": "all of it", "filter": "none"}, "re_aimed"),
        ({"filter": "none", "dim_percent": 10}, "filter_changed"),
        ({"uv": Decimal(9), "hot": True}, None),
    ],
)
def test_what_changed_at_a_lamp_says_which_light_event_it_is(
    shop: Workshop, values: dict[str, Any], event: str | None
) -> None:
    hang(shop, hang(shop, really=False), after=2, **values)
    told = [one.what for one in LightEvent.objects.all()]
    assert told == ([event] if event else [])


def test_a_lamp_replaced_by_one_of_the_same_kind_changed_the_light_all_the_same(
    shop: Workshop,
) -> None:
    row = hang(shop, really=False)
    prove(shop)
    hang(shop, row, after=1, really=False)
    assert codes(shop, light_is_under_the_ceiling) == []
    row.refresh_from_db()
    hang(shop, row, after=2)
    (text,) = codes(shop, light_is_under_the_ceiling)
    assert "L1: replaced by one of the same kind" in text
    assert LightEvent.objects.get().what == "lamp_replaced"


def test_two_lamps_changed_in_one_minute_are_one_event_and_two_rows(shop: Workshop) -> None:
    first, second = hang(shop, really=False), hang(shop, really=False, name="L2")
    for row in (first, second):
        hang(shop, row, after=2, name=row.name, aim="opening B")
    assert LightEvent.objects.count() == 1
    assert set(Lamp.objects.values_list("aim", flat=True)) == {"opening B"}


@pytest.mark.parametrize(
    ("values", "again"),
    [
        ({"power_w": Decimal(20)}, True),
        ({"kind": LampKind.HALOGEN}, True),
        ({"where": LampWhere.PARTED}, True),
        ({"dim_percent": 80}, True),
        ({"dim_percent": 40}, False),
        ({"aim": "opening B"}, False),
    ],
)
def test_other_heat_in_the_case_after_the_proof_run_asks_for_it_again(
    shop: Workshop, values: dict[str, Any], again: bool
) -> None:
    row = hang(shop, really=False)
    made_ready = case(shop, without_lamps=False)
    assert codes(shop, case_is_proven) == []
    hang(shop, row, after=2, **values)
    assert [text.startswith("Lamp L1 of ") for text in codes(shop, case_is_proven)] == [
        True
    ] * again
    lines = {line.label: line for line in lines_of(made_ready, clock_at(AT + 9 * HOUR))}
    assert lines["Climate proof run"].is_open is again
    assert lines["Lamps"].text.startswith("1 on record")
    later = AT + 3 * HOUR
    made_ready.test_from, made_ready.test_to = later, later + HOUR
    made_ready.keep(**kept_by())
    assert codes(shop, case_is_proven) == []


def test_a_lamp_of_the_room_warms_no_case_and_one_in_another_position_does(shop: Workshop) -> None:
    gallery = make_place("North Gallery", PlaceKind.ROOM)
    the_case = make_place("N3", PlaceKind.CASE, parent=gallery)
    for place in (shop.place, beside := make_place("N3/2", parent=the_case)):
        place.parent = the_case
        place.keep(**kept_by())
    shop.place, here = the_case, shop.place
    case(shop)
    for place, where in ((gallery, LampWhere.ROOM), (beside, LampWhere.INSIDE)):
        shop.place = place
        hang(shop, after=2, where=where)
        warms = place == beside
        shop.showing.place = here
        assert [bool(text) for text in codes(shop, case_is_proven)] == [True] * warms
    lines = lines_of(CaseReadiness.objects.get(), clock_at(AT + 9 * HOUR))
    assert [line.text[:11] for line in lines if line.label == "Lamps"] == ["2 on record"]


def test_a_lamp_at_one_position_of_a_case_lights_its_neighbours_and_no_other_case(
    shop: Workshop,
) -> None:
    """Common practice: light from a lamp beside is light as well, and is measured again."""
    gallery = make_place("North Gallery", PlaceKind.ROOM)
    the_case, another = (make_place(name, PlaceKind.CASE, parent=gallery) for name in ("N3", "N4"))
    here, beside = shop.place, make_place("N3/2", parent=the_case)
    here.parent = the_case
    here.keep(**kept_by())
    prove(shop)
    shop.place = make_place("N4/1", parent=another)
    hang(shop, after=2)
    shop.place = beside
    row = hang(shop, after=2, really=False)
    assert codes(shop, light_is_under_the_ceiling) == []
    hang(shop, row, after=3, dim_percent=80)
    (text,) = codes(shop, light_is_under_the_ceiling)
    assert "(at N3/2, L1: level 60 % to 80 %) at N3 on" in text
    assert lighting(here) == lighting(the_case) == {p.pk for p in (here, beside, the_case, gallery)}


def test_a_lamp_is_taken_out_once_with_its_reason(shop: Workshop) -> None:
    row = hang(shop)
    prove(shop)
    changed = LampChanged(at=AT + 2 * HOUR, by=shop.marit, really=True)
    gone: dict[str, Any] = {"lamp": row, "changed": changed}
    with pytest.raises(Refused, match="Say why"):
        take_lamp_out(**shop.conservator(after=3), why=" ", **gone)
    out = take_lamp_out(**shop.conservator(after=3), why="Flickers", **gone)
    assert (out.taken_out_at, out.changed_by) == (AT + 2 * HOUR, shop.marit)
    assert "taken out, Flickers" in codes(shop, light_is_under_the_ceiling)[0]
    with pytest.raises(Refused, match="taken out already"):
        take_lamp_out(**shop.conservator(after=3), why="Again", **gone)
    with pytest.raises(Refused, match="no longer hangs"):
        hang(shop, row, after=4)
    assert hang(shop, after=5).pk != row.pk


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"name": " "}, "name"),
        ({"position": ""}, "position"),
        ({"kind": LampKind.OTHER}, "type_text"),
        ({"power_w": Decimal(0)}, "power_w"),
        ({"uv": Decimal(-1)}, "uv"),
        ({"uv": None}, "uv_known_from"),
        ({"uv_known_from": None}, "uv_known_from"),
        ({"distance_mm": 0}, "distance_mm"),
        ({"dim_percent": 101}, "dim_percent"),
    ],
)
def test_a_lamp_that_cannot_be_so_is_refused_and_by_the_table_too(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        hang(shop, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    row = hang(shop)
    for name, value in values.items():
        setattr(row, name, value.strip() if isinstance(value, str) else value)
    row.uv_known_from = row.uv_known_from or ""
    with pytest.raises(IntegrityError), transaction.atomic():
        row.keep(**kept_by())


def test_lamps_are_written_one_after_the_other_by_those_who_work_there(shop: Workshop) -> None:
    row = hang(shop)
    with pytest.raises(Refused, match="has a lamp of that name"):
        hang(shop)
    hang(shop, row, after=1, aim="opening B")
    with pytest.raises(Conflict):
        hang(shop, row, after=2, aim="both")
    row.refresh_from_db()
    with pytest.raises(Refused, match="later change"):
        hang(shop, row, after=0, aim="both")
    with pytest.raises(Refused, match="in the future"):
        write_lamp(
            **shop.conservator(),
            place=shop.place,
            said=replace(SAID, name="L9"),
            changed=LampChanged(at=AT + HOUR, by=shop.marit, really=True),
        )
    for role in (Role.CURATOR, Role.ATTENDANT, Role.STEWARD):
        with pytest.raises(NotAllowed):
            write_lamp(
                **shop.by(make_person(role), role),
                place=shop.place,
                said=replace(SAID, name="L9"),
                changed=LampChanged(at=AT, by=shop.marit, really=True),
            )
    managed = shop.by(shop.sunniva, Role.EXHIBITION_MANAGER)
    kept = write_lamp(
        **managed,
        place=shop.place,
        said=replace(SAID, name="L9"),
        changed=LampChanged(at=AT, by=shop.sunniva, really=False),
    )
    assert kept.changed_by == shop.sunniva
