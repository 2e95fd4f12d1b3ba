"""Fixing steps: in order, with pictures of this object, and enough for a fit check to be signed."""

import pytest

from lifecycle.actions.preparation.fixing_steps import drop_fixing_step, write_fixing_step
from lifecycle.actions.preparation.mounts import put_mount_aside
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.preparation.mounts import fixing_lines
from lifecycle.records.models.preparation import FixingStep
from tests.builders.core import make_face, make_person
from tests.builders.preparation import Workshop

pytestmark = pytest.mark.django_db
THREE = ("Slide the cradle in.", "Left board first.", "Then the strips.")


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def test_steps_keep_their_order_and_move_up_when_one_is_dropped(shop: Workshop) -> None:
    mount = shop.mount()
    rows = [write_fixing_step(**shop.conservator(), mount=mount, text=text) for text in THREE]
    assert fixing_lines(mount) == THREE
    drop_fixing_step(**shop.conservator(), step=rows[0])
    assert fixing_lines(mount) == THREE[1:]
    assert list(
        FixingStep.objects.filter(dropped=False).order_by("number").values_list("number", flat=True)
    ) == [1, 2]
    with pytest.raises(Refused, match="no longer on"):
        drop_fixing_step(**shop.conservator(), step=rows[0])
    with pytest.raises(Refused, match="no longer on"):
        write_fixing_step(**shop.conservator(), mount=mount, text="Anew.", step=rows[0])


def test_a_step_written_anew_keeps_its_picture(shop: Workshop) -> None:
    mount, picture = shop.mount(), shop.picture(shop.a)
    row = write_fixing_step(**shop.conservator(), mount=mount, text="Slide.", picture=picture)
    again = write_fixing_step(**shop.conservator(), mount=mount, text="Slide slowly.", step=row)
    assert (again.text, again.picture, again.number) == ("Slide slowly.", picture, 1)


def test_steps_replace_the_text_of_the_ticket_and_carry_a_fit_check(shop: Workshop) -> None:
    mount = shop.mount()
    assert fixing_lines(mount) == ("Slide in from the front, two strips.",)
    mount.fixing_instruction = ""
    mount.keep(**shop.conservator(), why="steps instead")
    check = shop.fit(mount)
    with pytest.raises(Refused, match="does not say how it is fixed"):
        shop.sign(check)
    write_fixing_step(**shop.conservator(), mount=mount, text=THREE[0])
    shop.sign(check)


def test_bad_steps_are_refused(shop: Workshop) -> None:
    mount = shop.mount()
    with pytest.raises(Refused, match="Say what is done"):
        write_fixing_step(**shop.conservator(), mount=mount, text="  ")
    with pytest.raises(Refused, match="another object"):
        write_fixing_step(
            **shop.conservator(), mount=mount, text="x", picture=shop.picture(make_face())
        )
    stranger = make_person(Role.MOUNT_MAKER)
    with pytest.raises(NotAllowed):
        write_fixing_step(**shop.by(stranger, Role.MOUNT_MAKER), mount=mount, text="x")
    there = write_fixing_step(**shop.conservator(), mount=mount, text="Slide.")
    with pytest.raises(NotAllowed):
        drop_fixing_step(**shop.by(stranger, Role.MOUNT_MAKER), step=there)
    put_mount_aside(**shop.conservator(), mount=mount, why="Too steep.")
    with pytest.raises(Refused, match="put aside"):
        write_fixing_step(**shop.conservator(), mount=mount, text="x")
