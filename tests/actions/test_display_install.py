"""Installing one object: everything that keeps the check open, two people, the right place."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.display.installing import Seen, install, missing_from
from lifecycle.actions.display.reading import NOTHING_READ
from lifecycle.actions.display.striking import put_back
from lifecycle.actions.moves import Overtaken, place_hold
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind
from lifecycle.queries.signed_text.registry import faults_of, kind_of, signatures_of
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    InstallCheck,
    JournalEntry,
    LightReading,
    MuseumObject,
    Showing,
)
from lifecycle.records.models.display.install import ArrivalCompared, Fitted
from tests.builders.core import make_exhibition, make_face, make_object, make_person, make_place
from tests.builders.display import (
    Crew,
    a_photo,
    all_seen,
    bring,
    face_of,
    hand,
    install_it,
    make_case,
    make_crew,
    meter_says,
    planned_showing,
    put_at,
    ready_showing,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 11, 9, 30, tzinfo=UTC)


def ready(crew: Crew, **values: Any) -> Showing:
    _, positions = make_case("N1", 1)
    return ready_showing(crew, positions[0], NOW, **values)


def test_two_people_install_and_everything_is_on_record() -> None:
    crew = make_crew()
    showing = ready(crew)
    check = install_it(crew, showing, NOW)
    row = Showing.objects.get(pk=showing.pk)
    assert row.stage == Stage.ON_DISPLAY
    period = DisplayPeriod.objects.get(showing=row)
    assert (period.install_check, period.face, period.closed_at) == (check, face_of(row), None)
    assert MuseumObject.objects.get(pk=row.museum_object_id).current_location == row.place
    assert {one.person for one in signatures_of(check)} == {crew.conservator, crew.technician}
    assert list(faults_of(InstallCheck.objects.get(pk=check.pk), kind_of(check))) == []
    reading = LightReading.objects.get()
    assert (reading.lux, reading.uv) == (Decimal(44), Decimal(3))
    assert reading.showing == row
    assert Appointment.objects.get().state == "done"
    entry = JournalEntry.objects.get(showing=row, move="install")
    assert (entry.by, entry.second) == (crew.conservator, crew.technician)
    assert entry.evidence["install check"] == [check.code]


LACKS: list[tuple[str, dict[str, Any], str]] = [
    ("tag", {"matches_tag": False}, "install.tag"),
    ("arrival", {"arrival": None}, "install.arrival"),
    ("changed", {"arrival": ArrivalCompared.CHANGED}, "install.arrival"),
    ("face", {"face_right": False}, "install.face"),
    ("way up", {"way_up_right": False}, "install.way_up"),
    ("photo", {"photo": None}, "install.photo"),
    ("mount", {"mount_fits": False}, "install.mount"),
    ("light", {"meter": NOTHING_READ}, "install.lux"),
    ("caption", {"caption": Fitted.WRONG}, "install.caption"),
    ("facsimile", {"facsimile": None}, "install.facsimile"),
    ("exception", {"exception": "A screw is loose."}, "install.exception"),
]


@pytest.mark.parametrize(("name", "gap", "code"), LACKS, ids=[row[0] for row in LACKS])
def test_each_thing_not_right_keeps_the_check_open(
    name: str, gap: dict[str, Any], code: str
) -> None:
    crew = make_crew()
    showing = ready(crew)
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOW, seen=all_seen(**gap))
    assert code in {reason.code for reason in refused.value.reasons}
    assert Showing.objects.get(pk=showing.pk).stage == Stage.READY
    assert not DisplayPeriod.objects.exists()
    assert not LightReading.objects.exists()


def test_all_reasons_come_at_once() -> None:
    reasons = list(missing_from(Seen(), picture=None, number="HCM.1"))
    assert len(reasons) == 10
    assert all("HCM.1" in reason.text for reason in reasons)


def test_reasons_of_the_check_the_place_and_the_gates_come_in_one_round() -> None:
    crew = make_crew()
    showing = ready(crew)
    assert showing.place is not None
    lying = make_object(current_location=showing.place)
    place_hold(
        object_id=showing.museum_object_id,
        kind=HoldKind.CHANGE_FOUND,
        reason="The corner lifts.",
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=NOW,
    )
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOW, seen=all_seen(matches_tag=False))
    assert [reason.code for reason in refused.value.reasons] == [
        "install.tag",
        "place.lying",
        "object.held",
    ]
    assert lying.object_number in str(refused.value)


def test_what_cannot_be_true_of_a_check_is_said_at_once() -> None:
    crew = make_crew()
    showing = ready(crew)
    seen = all_seen(deviation="On the left.")
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOW, face=make_face(), place=make_place(), seen=seen)
    assert [reason.code for reason in refused.value.reasons] == [
        "install.face",
        "install.deviation",
        "install.place",
    ]


def test_one_person_twice_is_not_two_people() -> None:
    crew = make_crew()
    showing = ready(crew)
    twice = hand(crew.conservator, Role.CONSERVATOR)
    with pytest.raises(Refused, match="named twice"):
        _install(showing, twice, twice)


def _install(showing: Showing, one: Any, other: Any, **values: Any) -> InstallCheck:
    place = showing.place
    assert place is not None
    values.setdefault("place", place)
    values.setdefault("seen", all_seen())
    return install(
        one=one,
        other=other,
        at=NOW,
        showing=showing,
        face=face_of(showing),
        observed_at=NOW,
        **values,
    )


def test_a_conservator_is_one_of_the_two() -> None:
    crew = make_crew()
    showing = ready(crew)
    with pytest.raises(Refused, match="One of the two is a conservator"):
        _install(
            showing,
            hand(crew.technician, Role.TECHNICIAN),
            hand(crew.registrar, Role.REGISTRAR),
        )


def test_a_technician_without_a_job_here_is_not_let_in() -> None:
    crew = make_crew()
    showing = ready(crew)
    stranger = make_person(Role.TECHNICIAN)
    with pytest.raises(NotAllowed):
        _install(
            showing,
            hand(stranger, Role.TECHNICIAN),
            hand(crew.conservator, Role.CONSERVATOR),
        )


@pytest.mark.parametrize("wrong", ["one", "other"])
def test_nobody_signs_for_another_with_a_guessed_password(wrong: str) -> None:
    crew = make_crew()
    showing = ready(crew)
    hands = {
        "one": hand(
            crew.technician, Role.TECHNICIAN, "guess" if wrong == "one" else "long enough 42"
        ),
        "other": hand(
            crew.conservator, Role.CONSERVATOR, "guess" if wrong == "other" else "long enough 42"
        ),
    }
    whose = crew.technician if wrong == "one" else crew.conservator
    with pytest.raises(Refused, match=f"not the password of {whose.full_name}"):
        _install(showing, hands["one"], hands["other"])
    assert not InstallCheck.objects.exists()


def test_another_position_than_the_planned_one_is_named() -> None:
    crew = make_crew()
    showing = ready(crew)
    other = make_place("N1/9", parent=showing.place.parent if showing.place else None)
    with pytest.raises(Refused, match="is planned for N1/1, this is N1/9"):
        install_it(crew, showing, NOW, place=other)


def test_a_position_that_is_taken_is_refused_with_the_number_that_lies_there() -> None:
    crew = make_crew()
    showing = ready(crew)
    install_it(crew, showing, NOW)
    second = planned_showing(showing.exhibition, showing.place, museum_object=make_object())
    put_at(second, Stage.READY, NOW)
    second = Showing.objects.get(pk=second.pk)
    with pytest.raises(Refused, match=showing.museum_object.object_number):
        _install(
            second,
            hand(crew.conservator, Role.CONSERVATOR),
            hand(crew.registrar, Role.REGISTRAR),
        )


def test_an_object_nobody_carried_there_is_not_installed() -> None:
    crew = make_crew()
    _, positions = make_case("N1", 1)
    showing = planned_showing(make_exhibition(), positions[0])
    put_at(showing, Stage.READY, NOW)
    with pytest.raises(Refused, match="No movement brought"):
        _install(
            Showing.objects.get(pk=showing.pk),
            hand(crew.conservator, Role.CONSERVATOR),
            hand(crew.registrar, Role.REGISTRAR),
        )


def test_light_above_the_ceiling_keeps_it_off_display_and_the_reading_out() -> None:
    crew = make_crew()
    showing = ready(crew)
    with pytest.raises(Refused, match="50 lx is the ceiling: dim the lamps"):
        install_it(crew, showing, NOW, seen=all_seen(meter=meter_says("51")))
    assert not LightReading.objects.filter(showing=showing).exists()
    install_it(crew, showing, NOW, seen=all_seen(meter=meter_says("50")))


def test_the_second_of_two_people_who_install_at_once_is_told_what_happened() -> None:
    crew = make_crew()
    showing = ready(crew)
    seen_by_both = JournalEntry.objects.filter(showing=showing).order_by("-pk")[0].uid
    install_it(crew, showing, NOW, seen_entry=seen_by_both)
    with pytest.raises(Refused, match="is at on display") as refused:
        install_it(crew, showing, NOW, seen_entry=seen_by_both)
    assert not isinstance(refused.value, Overtaken)
    assert DisplayPeriod.objects.filter(showing=showing).count() == 1
    assert JournalEntry.objects.filter(showing=showing, move="install").count() == 1


def test_an_install_made_in_error_is_put_back() -> None:
    crew = make_crew()
    showing = ready(crew)
    install_it(crew, showing, NOW)
    entry = JournalEntry.objects.get(showing=showing, move="install")
    strike_move(
        entry_id=entry.pk,
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=NOW + timedelta(minutes=5),
        reason="The wrong showing was chosen.",
    )
    row = Showing.objects.get(pk=showing.pk)
    assert row.stage == Stage.READY
    period = DisplayPeriod.objects.get(showing=row)
    assert period.struck_reason == "The wrong showing was chosen."
    assert Appointment.objects.get().state == "planned"
    assert InstallCheck.objects.get().digest != ""
    install_it(crew, row, NOW + timedelta(minutes=10))
    assert DisplayPeriod.objects.filter(showing=row, struck_at=None).count() == 1


def test_what_was_really_carried_since_is_not_struck() -> None:
    crew = make_crew()
    showing = ready(crew)
    install_it(crew, showing, NOW)
    entry = JournalEntry.objects.get(showing=showing, move="install")
    DisplayPeriod.objects.get().keep(by=None, role="", why="closed for the test", at=NOW)
    period = DisplayPeriod.objects.get()
    period.closed_at = NOW
    period.keep(by=None, role="", why="closed for the test", at=NOW)
    bring(crew, showing, make_place("Bench", "bench"), NOW + timedelta(hours=1))  # type: ignore[arg-type]
    with pytest.raises(Refused, match="was carried since then"):
        put_back(
            showing=Showing.objects.get(pk=showing.pk),
            entry=entry,
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=NOW + timedelta(hours=2),
            reason="Wrong.",
        )


def test_a_signed_check_is_frozen() -> None:
    crew = make_crew()
    check = install_it(crew, ready(crew), NOW)
    row = InstallCheck.objects.get(pk=check.pk)
    row.exception = "Added later."
    with pytest.raises(IntegrityError), transaction.atomic():
        row.keep(by=crew.conservator, role=Role.CONSERVATOR, why="no", at=NOW)


def test_an_open_check_keeps_its_photograph_for_the_next_try() -> None:
    crew = make_crew()
    showing = ready(crew)
    photo = a_photo()
    from_case = all_seen(photo=photo, mount_fits=False)
    with pytest.raises(Refused):
        install_it(crew, showing, NOW, seen=from_case)
    assert not InstallCheck.objects.exists()
