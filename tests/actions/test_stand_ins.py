"""What stands beside an object: facsimiles follow the face on show, companions are named."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.rotating import Shown, show_again, start_rotation
from lifecycle.actions.display.taking_down import take_down
from lifecycle.actions.preparation.facsimiles import take_facsimile_out
from lifecycle.actions.preparation.standing_in import exchange_facsimiles, take_facsimiles_out
from lifecycle.actions.refusals import Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from lifecycle.queries.display.companions import names
from lifecycle.queries.errands import errand_of
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.queries.stand_ins import on_showing
from lifecycle.queries.worked_back import schedule_of
from lifecycle.records.models import (
    Appointment,
    Companionship,
    Face,
    FaceWanted,
    JournalEntry,
    Person,
    Showing,
    TurnRecord,
)
from lifecycle.records.models.display.ending import FacsimileOut
from lifecycle.records.models.display.rotation import (
    AppointmentKind,
    AppointmentState,
    SupportDone,
    SwapDone,
)
from lifecycle.records.models.preparation import Facsimile, FacsimileState, FacsimileUse
from tests.actions.test_display_take_down import found
from tests.actions.test_display_turns import swap_them, two_for_one_place
from tests.builders.core import kept_by, make_exhibition, make_face, make_place
from tests.builders.display import (
    Crew,
    a_photo,
    a_picture,
    face_of,
    hand,
    install_it,
    make_case,
    make_crew,
    meter_says,
    on_display,
    ready_showing,
    signed_report,
)

pytestmark = pytest.mark.django_db
INSTALLED = datetime(2026, 3, 11, 9, 30, tzinfo=UTC)
TURN = datetime(2026, 6, 8, 8, 0, tzinfo=UTC)
DOWN = datetime(2026, 9, 8, 8, 0, tzinfo=UTC)


def delivered(crew: Crew, showing: Showing, face: Face, number: int) -> Facsimile:
    by = crew.conservator
    return Facsimile(
        facsimile_no=f"FX-{number:04d}",
        of_face=face,
        showing=showing,
        use=FacsimileUse.SHOWS_OTHER_FACE,
        mark_on_back="Facsimile made 2026, not the original",
        public_label="A facsimile.",
        state=FacsimileState.DELIVERED,
        master=a_picture(face, INSTALLED),
        asked_by=by,
        asked_at=INSTALLED,
        proof_seen_by=by,
        proof_seen_at=INSTALLED,
        approved_by=by,
        approved_at=INSTALLED,
        delivered_by=by,
        delivered_at=INSTALLED,
        mark_seen_on_back=True,
    ).keep(**kept_by())


def turn(crew: Crew, showing: Showing, **values: Any) -> TurnRecord:
    both: dict[str, Any] = {
        "one": hand(crew.conservator, Role.CONSERVATOR),
        "other": hand(crew.technician, Role.TECHNICIAN),
    }
    first, second = face_of(showing, 1), face_of(showing, 2)
    if Showing.objects.get(pk=showing.pk).stage == "on_display":
        early = TURN - timedelta(minutes=30)
        signed_report(crew, showing, ReportKind.OFF_GOING_FACE, early, first)
        start_rotation(**both, at=TURN, showing=showing, reason="Half over.", started_at=TURN)
        later = TURN + timedelta(minutes=20)
        signed_report(crew, showing, ReportKind.ON_COMING_FACE, later, second)
    assert showing.place is not None
    said: dict[str, Any] = {
        "to_face": second,
        "place": showing.place,
        "support": SupportDone.CHANGED,
        "support_fits": True,
        "way_up_right": True,
        "facsimile": SwapDone.DONE,
        "caption": SwapDone.DONE,
        "photo_after": a_photo(),
        "meter": meter_says("45"),
    } | values
    at = TURN + timedelta(minutes=40)
    return show_again(**both, at=at, showing=showing, shown=Shown(**said), done_at=at)


def states(*rows: Facsimile) -> list[str]:
    return [Facsimile.objects.get(pk=row.pk).state for row in rows]


def test_facsimiles_follow_the_face_that_is_shown_until_it_comes_down() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    of_a = delivered(crew, showing, face_of(showing, 1), 1)
    of_b = delivered(crew, showing, face_of(showing, 2), 2)
    install_it(crew, showing, INSTALLED)
    assert states(of_a, of_b) == ["delivered", "placed"]
    hidden = on_showing(Showing.objects.get(pk=showing.pk), TURN).hidden
    assert [(row.hidden.label, row.stands) for row in hidden] == [
        (face_of(showing, 2).label, True),
        (face_of(showing, 1).label, False),
    ]
    turn(crew, showing)
    assert states(of_a, of_b) == ["placed", "taken_out"]
    kept = Facsimile.objects.get(pk=of_a.pk)
    assert (kept.placed_where, kept.placed_at) == (place, TURN + timedelta(minutes=40))
    before = DOWN - timedelta(minutes=5)
    signed_report(crew, showing, ReportKind.DEINSTALL_AT_CASE, before, face_of(showing, 2))
    take_down(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=DOWN,
        showing=showing,
        said=found(DOWN, facsimile=FacsimileOut.OUT),
        second=crew.technician,
        second_role=Role.TECHNICIAN,
    )
    assert states(of_a, of_b) == ["taken_out", "taken_out"]


def strike(crew: Crew, showing: Showing, at: datetime) -> None:
    entry = JournalEntry.objects.filter(showing=showing, struck=None).latest("pk")
    by = Person.objects.get(pk=entry.by_id)
    strike_move(entry_id=entry.pk, by=by, role=Role(entry.role), at=at, reason="Wrong sheet.")


def test_a_struck_move_puts_facsimiles_back_where_they_were() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    of_a = delivered(crew, showing, face_of(showing, 1), 1)
    of_b = delivered(crew, showing, face_of(showing, 2), 2)
    install_it(crew, showing, INSTALLED)
    strike(crew, showing, INSTALLED + timedelta(minutes=30))
    assert states(of_a, of_b) == ["delivered", "delivered"]
    install_it(crew, showing, INSTALLED + timedelta(hours=1))
    turn(crew, showing)
    assert states(of_a, of_b) == ["placed", "taken_out"]
    strike(crew, showing, TURN + timedelta(hours=2))
    assert states(of_a, of_b) == ["delivered", "placed"]
    kept = Facsimile.objects.get(pk=of_b.pk)
    assert (kept.placed_where, kept.taken_out_at) == (place, None)


def test_a_facsimile_moved_by_hand_after_the_struck_move_stays_there() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    of_b = delivered(crew, showing, face_of(showing, 2), 2)
    install_it(crew, showing, INSTALLED)
    take_facsimile_out(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=INSTALLED + timedelta(minutes=10),
        facsimile=of_b,
    )
    strike(crew, showing, INSTALLED + timedelta(minutes=30))
    assert states(of_b) == ["taken_out"]


def test_a_facsimile_kept_from_an_earlier_exhibition_serves_the_next() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    of_b = delivered(crew, showing, face_of(showing, 2), 2)
    elsewhere = delivered(crew, showing, make_face(showing.museum_object), 3)
    for row in (of_b, elsewhere):
        row.showing, row.state = None, FacsimileState.KEPT
        row.keep(**kept_by())
    hidden = on_showing(showing, INSTALLED).hidden
    assert [row.facsimile for row in hidden] == [of_b, None]
    install_it(crew, showing, INSTALLED)
    assert states(of_b, elsewhere) == ["placed", "kept"]
    assert Facsimile.objects.get(pk=of_b.pk).showing == showing
    strike(crew, showing, INSTALLED + timedelta(minutes=30))
    assert (states(of_b), Facsimile.objects.get(pk=of_b.pk).showing) == (["kept"], None)


def test_a_facsimile_of_its_own_goes_before_a_kept_one() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    new = delivered(crew, showing, face_of(showing, 2), 2)
    old = delivered(crew, showing, face_of(showing, 2), 3)
    old.showing, old.state = None, FacsimileState.KEPT
    old.keep(**kept_by())
    assert on_showing(showing, INSTALLED).hidden[0].facsimile == new
    install_it(crew, showing, INSTALLED)
    assert states(new, old) == ["placed", "kept"]


def test_the_first_face_s_facsimile_is_due_before_the_turn_and_moves_with_it() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    first, second = face_of(showing, 1), face_of(showing, 2)
    planned = Appointment(
        appointment_no="AP-1",
        kind=AppointmentKind.TURN,
        showing=showing,
        from_face=first,
        to_face=second,
        day=date(2026, 6, 8),
        place=place,
        person_1=crew.conservator,
        person_2=crew.technician,
    ).keep(**kept_by())
    assert schedule_of(showing, INSTALLED).facsimile(first.pk).on == date(2026, 5, 18)
    planned.day, planned.state = date(2026, 6, 15), AppointmentState.MOVED
    planned.keep(**kept_by())
    assert schedule_of(showing, INSTALLED).facsimile(first.pk).on == date(2026, 5, 25)
    planned.state, planned.cancel_reason = AppointmentState.CANCELLED, "The loan ends."
    planned.keep(**kept_by())
    assert schedule_of(showing, INSTALLED).facsimile(first.pk).on != date(2026, 5, 25)


def test_a_swap_takes_the_facsimiles_of_the_old_object_out_and_the_new_ones_are_due() -> None:
    crew = make_crew()
    going, coming, place, way = two_for_one_place(crew)
    beside = delivered(crew, going, make_face(going.museum_object, order=2), 1)
    beside.state, beside.placed_at, beside.placed_where = FacsimileState.PLACED, INSTALLED, place
    beside.keep(**kept_by())
    second, third = (make_face(coming.museum_object, order=order) for order in (2, 3))
    for order, face in ((2, second), (3, third)):
        FaceWanted(
            showing=coming,
            face=face,
            order=order,
            from_on=coming.show_from,
            until_on=coming.show_to,
        ).keep(**kept_by())
    there = delivered(crew, coming, second, 2)
    proof = delivered(crew, coming, third, 3)
    proof.state, proof.delivered_at = FacsimileState.PROOF, None
    proof.keep(**kept_by())
    swap_them(crew, going, coming, way)
    assert states(beside, there, proof) == ["taken_out", "placed", "proof"]
    out = Facsimile.objects.get(pk=beside.pk)
    last = out.history.first()
    assert (out.taken_out_at, last.history_user) == (TURN, crew.conservator)
    assert last.history_change_reason == (
        f"taken out: {coming.museum_object.object_number} takes the place"
    )
    hidden = on_showing(coming, TURN).hidden
    waits = [(row.stands, row.late_by > 0) for row in hidden if row.hidden.first]
    assert waits == [(True, False), (False, True)]


def test_what_was_never_delivered_or_serves_otherwise_is_not_moved() -> None:
    crew = make_crew()
    _, (place, *_) = make_case("N3", 2)
    showing = ready_showing(crew, place, INSTALLED, faces=2)
    travels = delivered(crew, showing, face_of(showing, 2), 1)
    travels.use = FacsimileUse.TRAVELS
    travels.keep(**kept_by())
    proof = delivered(crew, showing, face_of(showing, 2), 2)
    proof.state = FacsimileState.PROOF
    proof.keep(**kept_by())
    acts: dict[str, Any] = {"showing": showing, "since": TURN, "by": crew.conservator, "at": TURN}
    role = Role.CONSERVATOR
    shown = face_of(showing, 1)
    assert exchange_facsimiles(**acts, role=role, shown=shown, place=place) == []
    assert take_facsimiles_out(**acts, role=role) == []


def test_a_turn_names_the_companions_whichever_side_the_bond_was_named_from() -> None:
    crew = make_crew()
    _, positions = make_case("N3", 3)
    first = on_display(crew, positions[0], INSTALLED, faces=2)
    second = on_display(crew, positions[1], INSTALLED, exhibition=first.exhibition)
    Companionship(
        museum_object=second.museum_object, companion=first.museum_object, reason="its key"
    ).keep(**kept_by())
    number = second.museum_object.object_number
    with pytest.raises(Refused, match=f"{number} in .* belongs with") as refused:
        turn(crew, first, companions_named=f"{number}9 stays")
    assert [reason.field for reason in refused.value.reasons] == ["companions_named"]
    made = turn(crew, first, companions_named=f"{number}: lies as it did")
    assert f"{number}: lies as it did" in TurnRecord.objects.get(pk=made.pk).signed_text
    assert list(faults_of(TurnRecord.objects.get(pk=made.pk), kind_of(made))) == []
    (companion,) = facts_of_one(first, DOWN).object.companions
    assert (companion.object_number, companion.placed, companion.needed) == (number, True, False)
    assert not companion.taken_down


def test_a_companion_is_planned_together_elsewhere_or_not_asked_for() -> None:
    crew = make_crew()
    _, positions = make_case("N3", 3)
    first = ready_showing(crew, positions[0], INSTALLED)
    beside = ready_showing(crew, positions[1], INSTALLED, exhibition=first.exhibition)
    apart = ready_showing(crew, make_place("S9/1"), INSTALLED, exhibition=first.exhibition)
    other = ready_showing(crew, positions[2], INSTALLED, exhibition=make_exhibition())
    for showing in (beside, apart, other):
        Companionship(
            museum_object=first.museum_object, companion=showing.museum_object, reason="set"
        ).keep(**kept_by())
    lines = {row.thing.pk: row for row in on_showing(first, INSTALLED).companions}
    said = [lines[row.museum_object_id] for row in (beside, apart, other)]
    assert [(row.asked is not None, row.together) for row in said] == [
        (True, True),
        (True, False),
        (False, False),
    ]
    number = {row.pk: row.museum_object.object_number for row in (beside, apart, other)}
    facts = facts_of_one(first, INSTALLED)
    assert {one.object_number: one.apart for one in facts.object.companions} == {
        number[beside.pk]: "",
        number[apart.pk]: "is planned for S9/1",
        number[other.pk]: "is not asked for in this exhibition",
    }
    for showing, day in ((first, 9), (beside, 10)):
        Appointment(
            appointment_no=f"AP-{day}",
            kind=AppointmentKind.INSTALL,
            showing=showing,
            day=date(2026, 3, day),
            place=showing.place,
            person_1=crew.conservator,
            person_2=crew.technician,
        ).keep(**kept_by())
    mended = [errand_of("companion.apart", number[row.pk], facts) for row in (apart, other)]
    asks = f"object={other.museum_object.uid}"
    assert [(page.url_name, page.uid, page.query) for page in mended if page] == [
        ("showing", str(apart.uid), ""),
        ("request-new", str(first.exhibition.uid), asks),
    ]
    later = facts_of_one(first, INSTALLED).object.companions
    planned = {one.object_number: one.apart for one in later}
    assert planned[number[beside.pk]] == "is to go in only on Tue 10 Mar 2026"


def test_a_companion_that_lies_in_the_case_already_is_not_apart() -> None:
    crew = make_crew()
    _, positions = make_case("N3", 2)
    there = on_display(crew, positions[0], INSTALLED)
    coming = ready_showing(crew, positions[1], INSTALLED, exhibition=make_exhibition())
    Companionship(
        museum_object=coming.museum_object, companion=there.museum_object, reason="its key"
    ).keep(**kept_by())
    (companion,) = facts_of_one(coming, INSTALLED).object.companions
    assert (companion.placed, companion.apart) == (True, "")


@pytest.mark.parametrize(
    ("text", "there"),
    [("HCM.1, HCM.2 stay", True), ("(HCM.2)", True), ("HCM.22 stays", False), ("", False)],
)
def test_a_number_is_named_whole(text: str, there: bool) -> None:
    assert names(text, "HCM.2") is there
