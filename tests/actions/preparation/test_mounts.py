"""Mounts: measured from the object, of accepted materials, fit signed by two with it present."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
    put_mount_aside,
)
from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.preparation import preparation_facts_of
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import Vocabulary
from lifecycle.records.models.preparation import FitCheck, FitResult
from lifecycle.records.models.treatment import MaterialTest
from tests.builders.core import AT, make_face, make_person, make_word
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR, make_material

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def fitting(shop: Workshop) -> set[int]:
    mounts = preparation_facts_of([shop.showing], clock_at(AT))[shop.showing.pk].mounts
    return {face for mount in mounts for face in mount.fits}


def test_a_fit_counts_when_both_named_people_have_signed(shop: Workshop) -> None:
    check = shop.fit(shop.mount())
    assert fitting(shop) == set()
    shop.sign(check, Role.MOUNT_MAKER)
    assert fitting(shop) == set()
    shop.sign(check, Role.CONSERVATOR)
    assert fitting(shop) == {shop.a.pk}


def test_what_both_signed_is_frozen_and_true_to_its_digest(shop: Workshop) -> None:
    check = shop.fit(shop.mount())
    shop.sign(check)
    signed = FitCheck.objects.get(pk=check.pk)
    assert list(faults_of(signed, kind_of(signed))) == []
    signed.result = FitResult.DOES_NOT_FIT
    signed.note = "Quietly changed."
    with pytest.raises(DatabaseError), transaction.atomic():
        signed.save()


@pytest.mark.parametrize(
    ("values", "code"),
    [({"object_present": False}, "fit.object_present"), ({"photo": None}, "")],
)
def test_it_is_not_signed_without_the_object_or_its_picture(
    shop: Workshop, values: dict[str, Any], code: str
) -> None:
    check = shop.fit(shop.mount(), **values)
    with pytest.raises(Refused) as refused:
        shop.sign(check, Role.CONSERVATOR)
    assert [reason.code for reason in refused.value.reasons] == [code]


def test_an_untested_material_keeps_the_fit_from_being_signed(shop: Workshop) -> None:
    mount = shop.mount()
    unknown = make_material("felt", test_state=MaterialTest.TO_TEST, accepted_for_mount=False)
    add_mount_material(**shop.conservator(), mount=mount, material=unknown)
    with pytest.raises(Refused, match=r"felt.* is not accepted for mounts yet"):
        shop.sign(shop.fit(mount), Role.MOUNT_MAKER)


def test_a_material_that_failed_its_test_touches_no_object(shop: Workshop) -> None:
    failed = make_material("foam", test_state=MaterialTest.FAILED, accepted_for_mount=False)
    with pytest.raises(Refused, match="failed its test"):
        add_mount_material(**shop.conservator(), mount=shop.mount(), material=failed)


def test_one_person_is_not_two(shop: Workshop) -> None:
    both = make_person(Role.MOUNT_MAKER, Role.CONSERVATOR)
    with pytest.raises(Refused, match="takes two people"):
        shop.fit(shop.mount(), mount_maker=both, conservator=both)


def test_nobody_signs_for_another(shop: Workshop) -> None:
    check = shop.fit(shop.mount())
    shop.rufus, rufus = make_person(Role.MOUNT_MAKER), shop.rufus
    with pytest.raises(NotAllowed, match="Rufus Tiller as mount maker"):
        shop.sign(check, Role.MOUNT_MAKER)
    shop.rufus = rufus
    shop.sign(check, Role.MOUNT_MAKER)


def test_a_later_check_that_does_not_fit_takes_the_gate_back(shop: Workshop) -> None:
    mount = shop.mount()
    shop.sign(shop.fit(mount))
    later = shop.fit(
        mount,
        checked_at=AT + HOUR + HOUR / 2,
        result=FitResult.DOES_NOT_FIT,
        note="It slips at the head.",
    )
    assert fitting(shop) == set()
    shop.sign(later)
    assert fitting(shop) == set()


@pytest.mark.parametrize(("minutes_before", "counts"), [(0, True), (1, False)])
def test_a_check_told_in_the_minute_of_the_request_is_not_from_before_it(
    shop: Workshop, minutes_before: int, counts: bool
) -> None:
    shop.sign(shop.fit(shop.mount()))
    shop.showing.asked_at = AT + HOUR + timedelta(minutes=minutes_before, seconds=24)
    assert fitting(shop) == ({shop.a.pk} if counts else set())


def test_it_fits_only_the_faces_it_was_made_and_tried_for(shop: Workshop) -> None:
    mount = shop.mount(shop.a)
    with pytest.raises(Refused, match="not made for opening B"):
        shop.fit(mount, shop.b)
    both = shop.mount(shop.a, shop.b)
    shop.sign(shop.fit(both, shop.b))
    assert fitting(shop) == {shop.b.pk}


def test_a_mount_that_was_not_measured_is_not_tried(shop: Workshop) -> None:
    with pytest.raises(Refused, match="not measured from the object"):
        shop.fit(shop.mount(measured=False))


def test_put_aside_it_serves_no_face(shop: Workshop) -> None:
    mount = shop.mount()
    shop.sign(shop.fit(mount))
    put_mount_aside(**shop.conservator(after=4), mount=mount, why="Cracked.")
    assert fitting(shop) == set()


def test_a_cradle_opens_no_wider_than_the_binding_allows() -> None:
    """Common practice: the angle as the binding wants, not as the designer wants."""
    shop = Workshop()
    tight = make_face(shop.thing, label="opening C", max_opening_angle=70)
    mount = shop.mount(tight, measured=False)
    with pytest.raises(Refused) as refused:
        measure_mount(
            **shop.conservator(), mount=mount, edition=1, measured=MountMeasured(angle_deg=90)
        )
    assert refused.value.reasons[0].code == "mount.angle"


def test_two_people_on_one_ticket_both_keep_their_text(shop: Workshop) -> None:
    mount = shop.mount(measured=False)
    mine = MountMeasured(contact_points="Both boards.")
    measure_mount(**shop.conservator(), mount=mount, edition=1, measured=mine)
    with pytest.raises(Conflict) as conflict:
        measure_mount(
            **shop.by(shop.rufus, Role.MOUNT_MAKER),
            mount=mount,
            edition=1,
            measured=MountMeasured(contact_points="Spine only."),
        )
    assert conflict.value.theirs["contact_points"] == "Both boards."
    assert conflict.value.mine["contact_points"] == "Spine only."


def test_a_ticket_names_faces_of_this_object_and_a_kind_of_mount(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        ask_for_mount(
            **shop.conservator(),
            showing=shop.showing,
            kind=make_word(Vocabulary.HOUSING_KIND, "folder"),
            faces=(make_face(),),
        )
    assert {reason.field for reason in refused.value.reasons} == {"kind", "faces"}


def test_a_mount_maker_writes_only_on_their_own_tickets(shop: Workshop) -> None:
    mount = shop.mount(measured=False)
    stranger = make_person(Role.MOUNT_MAKER)
    with pytest.raises(NotAllowed):
        measure_mount(
            **shop.by(stranger, Role.MOUNT_MAKER),
            mount=mount,
            edition=1,
            measured=MountMeasured(),
        )
