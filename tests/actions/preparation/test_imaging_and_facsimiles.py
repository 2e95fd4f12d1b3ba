"""Pictures and facsimiles: each step with its evidence, nothing skipped, light charged."""

from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.preparation import facsimiles as chain
from lifecycle.actions.preparation.imaging import (
    accept_pictures,
    deliver_pictures,
    drop_imaging,
    lux_hours,
    send_pictures_back,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.preparation import preparation_facts_of
from lifecycle.queries.preparation.treated_since import treated_since
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import Face, LightEntry
from lifecycle.records.models.preparation import (
    Facsimile,
    FacsimileState,
    ImagingFile,
    ImagingJob,
    Target,
)
from lifecycle.records.models.treatment import TreatmentStep
from tests.builders.core import AT, DAY, make_face, make_person
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR, step_word

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def deliver(shop: Workshop, job: ImagingJob, picture: Any = None, **values: Any) -> ImagingJob:
    values.setdefault("lit_minutes", Decimal(6))
    values.setdefault("lit_lux", 600)
    values.setdefault("in_frame", tuple(Target))
    return deliver_pictures(
        **shop.by(shop.ada, Role.PHOTOGRAPHER, after=2),
        job=job,
        pictures=[picture or shop.picture()],
        **values,
    )


def master(shop: Workshop) -> Any:
    job, picture = shop.job(), shop.picture()
    deliver(shop, job, picture)
    accept_pictures(**shop.curator(after=3), job=job)
    return picture


def test_light_given_is_lux_times_minutes_in_hours() -> None:
    """600 lx for 5 minutes are 50 lx·h: exposure is illuminance times time, by definition."""
    assert lux_hours(600, Decimal(5)) == Decimal("50.0")
    assert lux_hours(1000, Decimal("0.5")) == Decimal("8.3")


def test_delivered_pictures_are_charged_to_the_face(shop: Workshop) -> None:
    job = deliver(shop, shop.job())
    assert job.lux_hours == Decimal("60.0")
    entry = LightEntry.objects.get(face=shop.b)
    assert entry.likely_lx_h == 60
    assert job.job_no in entry.basis


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"due_on": DAY - timedelta(days=1)}, "due_on"),
        ({"needed_because": " "}, "needed_because"),
        ({"resolution_ppi": 0}, "resolution_ppi"),
        ({"light": LightKind.RAKING}, "light_direction"),
    ],
)
def test_a_job_that_cannot_be_done_is_refused(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        shop.job(**values)
    assert [reason.field for reason in refused.value.reasons] == [field]


def test_the_face_must_be_of_this_object(shop: Workshop) -> None:
    with pytest.raises(Refused, match="not a face of this object"):
        shop.job(face=make_face())


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"lit_minutes": Decimal(-1)}, "lit_minutes"),
        ({"lit_minutes": Decimal(1500)}, "lit_minutes"),
        ({"lit_lux": -5}, "lit_lux"),
        ({"lit_lux": 0}, "lit_lux"),
    ],
)
def test_light_that_cannot_be_true_is_refused_and_nothing_is_kept(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    job = shop.job()
    with pytest.raises(Refused) as refused:
        deliver(shop, job, **values)
    assert field in {reason.field for reason in refused.value.reasons}
    assert not ImagingFile.objects.exists()
    assert not LightEntry.objects.exists()


def test_a_picture_of_another_face_does_not_serve(shop: Workshop) -> None:
    with pytest.raises(Refused, match="does not show opening B"):
        deliver(shop, shop.job(), shop.picture(shop.a))


def test_the_one_who_needs_them_accepts_never_the_one_who_delivered(shop: Workshop) -> None:
    job = shop.job()
    with pytest.raises(Refused, match="not delivered yet"):
        accept_pictures(**shop.curator(), job=job)
    deliver(shop, job)
    with pytest.raises(Refused, match="delivered by you"):
        accept_pictures(**shop.by(shop.ada, Role.PHOTOGRAPHER, after=3), job=job)
    accepted = accept_pictures(**shop.curator(after=3), job=job)
    assert (accepted.accepted_by, accepted.accepted_at) == (shop.wen, AT + 3 * HOUR)


def test_pictures_sent_back_are_delivered_again_and_the_first_stay_on_record(
    shop: Workshop,
) -> None:
    job = shop.job()
    deliver(shop, job)
    sent = send_pictures_back(**shop.curator(after=3), job=job, why="The corner is cut off.")
    assert sent.delivered_at is None
    with pytest.raises(Refused, match="not delivered yet"):
        accept_pictures(**shop.curator(after=4), job=job)
    deliver(shop, job)
    assert job.files.count() == 2


def test_a_photographer_delivers_only_what_is_theirs(shop: Workshop) -> None:
    stranger = make_person(Role.PHOTOGRAPHER)
    with pytest.raises(NotAllowed):
        deliver_pictures(
            **shop.by(stranger, Role.PHOTOGRAPHER),
            job=shop.job(),
            pictures=[shop.picture()],
            lit_minutes=Decimal(1),
            lit_lux=10,
            in_frame=tuple(Target),
        )


def test_a_dropped_job_no_longer_stands_in_the_way(shop: Workshop) -> None:
    job = shop.job()
    assert preparation_facts_of([shop.showing], clock_at(AT))[shop.showing.pk].imaging
    drop_imaging(**shop.curator(), job=job, why="The opening is not shown.")
    assert not preparation_facts_of([shop.showing], clock_at(AT))[shop.showing.pk].imaging


def test_a_facsimile_has_its_own_number_and_says_what_it_is(shop: Workshop) -> None:
    row = shop.facsimile()
    assert row.facsimile_no.startswith("FX-")
    with pytest.raises(Refused) as refused:
        shop.facsimile(public_label="The other opening.", mark_on_back="Made 2026")
    assert {r.field for r in refused.value.reasons} == {"public_label", "mark_on_back"}


def walk_to(shop: Workshop, state: FacsimileState) -> Facsimile:
    """Walk the lawful way up to a state."""
    row = shop.facsimile()
    if state is FacsimileState.ASKED:
        return row
    row = chain.name_master(**shop.conservator(after=4), facsimile=row, picture=master(shop))
    if state is FacsimileState.MASTER_READY:
        return row
    row = chain.see_proof(**shop.curator(after=5), facsimile=row, light="42 lx, case N4")
    if state is FacsimileState.PROOF:
        return row
    row = chain.approve_facsimile(**shop.curator(after=6), facsimile=row)
    if state is FacsimileState.APPROVED:
        return row
    row = chain.deliver_facsimile(**shop.conservator(after=7), facsimile=row, mark_seen=True)
    if state is FacsimileState.DELIVERED:
        return row
    row = chain.place_facsimile(**shop.conservator(after=8), facsimile=row, where=shop.place)
    if state is FacsimileState.PLACED:
        return row
    row = chain.take_facsimile_out(**shop.conservator(after=9), facsimile=row)
    if state is FacsimileState.TAKEN_OUT:
        return row
    gone = state is FacsimileState.DESTROYED
    return chain.end_facsimile(
        **shop.curator(after=10), facsimile=row, destroyed=gone, note="Drawer 3."
    )


@pytest.mark.parametrize("state", list(FacsimileState))
def test_the_chain_is_walked_from_asked_to_kept_or_destroyed(
    shop: Workshop, state: FacsimileState
) -> None:
    assert walk_to(shop, state).state == state


@pytest.mark.parametrize("state", list(FacsimileState))
def test_no_step_of_the_chain_is_passed_over(shop: Workshop, state: FacsimileState) -> None:
    """From each state only the steps of the table are open; every other is refused."""
    row = walk_to(shop, state)
    tries: dict[FacsimileState, Callable[[], Facsimile]] = {
        FacsimileState.PROOF: lambda: chain.see_proof(
            **shop.curator(after=20), facsimile=row, light="42 lx"
        ),
        FacsimileState.APPROVED: lambda: chain.approve_facsimile(
            **shop.curator(after=20), facsimile=row
        ),
        FacsimileState.DELIVERED: lambda: chain.deliver_facsimile(
            **shop.conservator(after=20), facsimile=row, mark_seen=True
        ),
        FacsimileState.PLACED: lambda: chain.place_facsimile(
            **shop.conservator(after=20), facsimile=row, where=shop.place
        ),
        FacsimileState.TAKEN_OUT: lambda: chain.take_facsimile_out(
            **shop.conservator(after=20), facsimile=row
        ),
    }
    for target, attempt in tries.items():
        if state not in chain.BEFORE[target]:
            with pytest.raises(Refused, match=f"it becomes ‘{target.label}’ after"):
                attempt()
    assert Facsimile.objects.get(pk=row.pk).state == state


def test_the_master_is_an_accepted_picture_of_that_face(shop: Workshop) -> None:
    row, job, picture = shop.facsimile(), shop.job(), shop.picture()
    deliver(shop, job, picture)
    with pytest.raises(Refused, match="accept the imaging job first"):
        chain.name_master(**shop.conservator(after=4), facsimile=row, picture=picture)


def test_a_proof_names_its_light_and_the_mark_is_looked_for(shop: Workshop) -> None:
    with pytest.raises(Refused, match="which light"):
        chain.see_proof(
            **shop.curator(after=5),
            facsimile=walk_to(shop, FacsimileState.MASTER_READY),
            light=" ",
        )
    approved = walk_to(Workshop(), FacsimileState.APPROVED)
    with pytest.raises(Refused, match="mark on the back"):
        chain.deliver_facsimile(
            by=Workshop().marit,
            role=Role.CONSERVATOR,
            at=AT + 9 * HOUR,
            facsimile=approved,
            mark_seen=False,
        )


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.REGISTRAR, Role.EXHIBITION_MANAGER])
def test_only_the_curator_or_the_head_approves(shop: Workshop, role: Role) -> None:
    row = walk_to(shop, FacsimileState.PROOF)
    with pytest.raises(NotAllowed):
        chain.approve_facsimile(**shop.by(make_person(role), role), facsimile=row)
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    approved = chain.approve_facsimile(
        **shop.by(head, Role.HEAD_OF_COLLECTIONS, after=6), facsimile=row
    )
    assert approved.approved_by == head


def test_the_gate_sees_approved_delivered_and_placed(shop: Workshop) -> None:
    row = walk_to(shop, FacsimileState.PLACED)
    (facts,) = preparation_facts_of([shop.showing], clock_at(AT))[shop.showing.pk].facsimiles
    assert (facts.number, facts.face_id) == (row.facsimile_no, shop.b.pk)
    assert facts.approved
    assert facts.delivered
    assert facts.placed


def test_a_facsimile_is_looked_at_again_when_its_face_was_treated_after_the_master(
    shop: Workshop,
) -> None:
    row = shop.facsimile()
    row.master = shop.picture(taken_at=AT)

    def treated(at: datetime, face: Face | None) -> TreatmentStep:
        return TreatmentStep(
            museum_object=shop.thing,
            face=face,
            observed_at=at,
            observed_by=shop.marit,
            entered_at=AT + 9 * HOUR,
            entered_by=shop.marit,
            step=step_word("mend"),
            result="Closed.",
            hours=1,
            emergency=True,
            emergency_reason="It could not wait.",
        ).append()

    treated(AT - HOUR, shop.b)
    treated(AT + HOUR, shop.a)
    assert treated_since(row) is None
    whole = treated(AT + 2 * HOUR, None)
    assert treated_since(row) == whole
    assert treated_since(shop.facsimile()) is None, "no master yet"
