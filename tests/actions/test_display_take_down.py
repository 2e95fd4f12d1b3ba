"""Taking down: the last light, lamps off, part A before or within the hour, early, emergency."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.reading import NOTHING_READ
from lifecycle.actions.display.rotating import start_rotation
from lifecycle.actions.display.taking_down import Found, take_down
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ReportKind
from lifecycle.records.models import (
    Companionship,
    DisplayPeriod,
    JournalEntry,
    LightReading,
    Person,
    Showing,
    TakeDown,
    TurnRecord,
)
from lifecycle.records.models.display.ending import FacsimileOut, FoundAs, MountFate
from tests.builders.core import kept_by, make_person, make_place
from tests.builders.display import (
    Crew,
    face_of,
    hand,
    make_case,
    make_crew,
    meter_says,
    on_display,
    signed_report,
)

pytestmark = pytest.mark.django_db
INSTALLED = datetime(2026, 3, 11, 9, 30, tzinfo=UTC)
LAST = datetime(2026, 9, 7, 7, 30, tzinfo=UTC)
EARLY = datetime(2026, 7, 1, 10, 0, tzinfo=UTC)


def hung(crew: Crew) -> Showing:
    _, positions = make_case("N4", 2)
    return on_display(crew, positions[0], INSTALLED)


def found(at: datetime, **values: Any) -> Found:
    said: dict[str, Any] = {
        "taken_down_at": at,
        "lamps_off_at": at - timedelta(minutes=20),
        "found": FoundAs.AS_PLACED,
        "mount": MountFate.TAKEN_OUT,
        "facsimile": FacsimileOut.NONE,
        "handed_to": "Marit Oldacre",
        "meter": meter_says("43"),
    }
    return Found(**(said | values))


def part_a(crew: Crew, showing: Showing, at: datetime) -> None:
    signed_report(
        crew, showing, ReportKind.DEINSTALL_AT_CASE, at - timedelta(minutes=5), face_of(showing)
    )


def down(
    crew: Crew, showing: Showing, at: datetime = LAST, *, by: Person | None = None, **values: Any
) -> TakeDown:
    said = values.pop("said", None) or found(at, **values)
    return take_down(
        by=by or crew.conservator,
        role=Role.CONSERVATOR,
        at=at,
        showing=showing,
        said=said,
        second=crew.technician,
        second_role=Role.TECHNICIAN,
    )


def codes(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.code for reason in refused.value.reasons}


def test_taking_down_ends_the_light_when_the_lamps_went_off() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    row = down(crew, showing)
    assert Showing.objects.get(pk=showing.pk).stage == Stage.DEINSTALL_CHECK
    assert DisplayPeriod.objects.get(showing=showing).closed_at == LAST - timedelta(minutes=20)
    assert LightReading.objects.filter(showing=showing, lux=43).exists()
    assert (row.early, row.part_a_due_at) == (False, None)
    assert row.part_a is not None


@pytest.mark.parametrize(
    ("gap", "code"),
    [
        ({"meter": NOTHING_READ}, "takedown.light"),
        ({"found": FoundAs.SLIPPED}, "takedown.slipped"),
        ({"pests_seen": True}, "takedown.pests"),
        ({"handed_to": " "}, "takedown.handed_to"),
        ({"taken_down_at": LAST + timedelta(minutes=1)}, "takedown.future"),
        ({"lamps_off_at": LAST + timedelta(minutes=1)}, "takedown.future"),
    ],
)
def test_each_gap_keeps_it_on_display(gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    with pytest.raises(Refused) as refused:
        down(crew, showing, said=replace(found(LAST), **gap))
    assert code in codes(refused)
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    assert DisplayPeriod.objects.get(showing=showing).closed_at is None


def test_a_reading_that_cannot_be_made_is_said_in_words() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    row = down(crew, showing, meter=NOTHING_READ, no_lux_because="The lamp had failed.")
    assert (row.last_lux, row.no_lux_because) == (None, "The lamp had failed.")


def test_part_a_comes_before_anything_is_moved() -> None:
    crew = make_crew()
    showing = hung(crew)
    with pytest.raises(Refused) as refused:
        down(crew, showing)
    assert codes(refused) == {"part_a.missing"}


def test_in_an_emergency_part_a_may_follow_within_the_hour() -> None:
    crew = make_crew()
    showing = hung(crew)
    stranger = make_person(Role.TECHNICIAN)
    row = take_down(
        by=stranger,
        role=Role.TECHNICIAN,
        at=EARLY,
        showing=showing,
        said=found(
            EARLY,
            emergency=True,
            early_reason="Water runs down the wall.",
            curator_told_at=EARLY,
        ),
    )
    assert row.part_a is None
    assert row.part_a_due_at == EARLY + timedelta(hours=1)
    entry = JournalEntry.objects.get(showing=showing, move="take_down")
    assert (entry.by, entry.role) == (stranger, Role.TECHNICIAN)
    assert entry.evidence["emergency"]


def test_coming_down_early_needs_a_reason_and_a_told_curator() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, EARLY)
    with pytest.raises(Refused, match=r"before Sun 6 Sep 2026, its last day"):
        down(crew, showing, EARLY)
    with pytest.raises(Refused) as refused:
        down(crew, showing, EARLY, early_reason="A flake lifts.")
    assert codes(refused) == {"takedown.told"}
    row = down(crew, showing, EARLY, early_reason="A flake lifts.", curator_told_at=EARLY)
    assert row.early is True


def test_an_exhibition_closed_early_ends_its_showings_on_the_new_day() -> None:
    crew = make_crew()
    showing = hung(crew)
    showing.show_to = EARLY.date() - timedelta(days=1)
    showing.keep(**kept_by(), fields=["show_to"])
    part_a(crew, showing, EARLY)
    assert down(crew, showing, EARLY).early is False


def test_companions_on_show_are_named() -> None:
    crew = make_crew()
    first = hung(crew)
    place = make_place("N4/5", parent=first.place.parent if first.place else None)
    second = on_display(crew, place, INSTALLED, exhibition=first.exhibition)
    Companionship(
        museum_object=first.museum_object,
        companion=second.museum_object,
        reason="instruction card",
    ).keep(**kept_by())
    part_a(crew, first, LAST)
    with pytest.raises(Refused, match=second.museum_object.object_number):
        down(crew, first)
    number = second.museum_object.object_number
    assert down(crew, first, companions_named=f"{number} comes down next").companions_named


@pytest.mark.parametrize("role", [Role.CURATOR, Role.PHOTOGRAPHER, Role.MOUNT_MAKER, Role.STEWARD])
def test_others_do_not_take_down(role: Role) -> None:
    crew = make_crew()
    showing = hung(crew)
    with pytest.raises(NotAllowed):
        take_down(by=make_person(role), role=role, at=LAST, showing=showing, said=found(LAST))


def test_without_a_conservator_it_is_only_an_emergency() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    with pytest.raises(Refused) as refused:
        take_down(
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=LAST,
            showing=showing,
            said=found(LAST),
            second=crew.technician,
            second_role=Role.TECHNICIAN,
        )
    assert codes(refused) == {"say.conservator"}


def test_it_is_taken_down_once() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    down(crew, showing)
    with pytest.raises(Refused, match="it is not on display"):
        down(crew, showing)
    assert TakeDown.objects.count() == 1


def test_out_of_a_rotation_it_is_taken_down_without_a_period() -> None:
    crew = make_crew()
    showing = hung(crew)
    signed_report(
        crew, showing, ReportKind.OFF_GOING_FACE, LAST - timedelta(hours=2), face_of(showing)
    )
    start_rotation(
        one=hand(crew.conservator, Role.CONSERVATOR),
        other=hand(crew.technician, Role.TECHNICIAN),
        at=LAST - timedelta(hours=1),
        showing=showing,
        started_at=LAST - timedelta(hours=1),
        reason="The case is opened.",
    )
    part_a(crew, showing, LAST)
    row = down(crew, showing)
    assert row.period is None
    assert TurnRecord.objects.get().ended_without == "taken down out of rotation"
    entry = JournalEntry.objects.get(showing=showing, move="take_down")
    strike_move(
        entry_id=entry.pk,
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=LAST + timedelta(minutes=1),
        reason="It is to be shown again.",
    )
    assert TurnRecord.objects.get().ended_at is None


def test_a_take_down_in_error_puts_it_back_on_show() -> None:
    crew = make_crew()
    showing = hung(crew)
    part_a(crew, showing, LAST)
    down(crew, showing)
    entry = JournalEntry.objects.get(showing=showing, move="take_down")
    strike_move(
        entry_id=entry.pk,
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=LAST + timedelta(minutes=10),
        reason="The wrong line was ticked.",
    )
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    assert DisplayPeriod.objects.get(showing=showing).closed_at is None
    assert TakeDown.objects.get().struck_at is not None
    assert down(crew, Showing.objects.get(pk=showing.pk)).pk
