"""What preparation refuses, each for one reason alone: tickets, fits, pictures, cases, housing."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.preparation import facsimiles as chain
from lifecycle.actions.preparation.captions import approve_caption
from lifecycle.actions.preparation.cases import (
    say_case_ready,
)
from lifecycle.actions.preparation.housing import (
    change_housing,
    housing_ordered_or_made,
    label_housing,
    put_housing_aside,
    try_housing,
)
from lifecycle.actions.preparation.imaging import (
    accept_pictures,
    deliver_pictures,
    drop_imaging,
    send_pictures_back,
)
from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
    put_mount_aside,
)
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import Component, ReadingPoint, Vocabulary
from lifecycle.records.models.preparation import (
    FacsimileState,
    FitResult,
    Housing,
    ImagingJob,
    Mount,
    Target,
)
from tests.actions.preparation.test_case_readiness import case
from tests.actions.preparation.test_cases_and_housing import prove, write
from tests.actions.preparation.test_imaging_and_facsimiles import deliver, walk_to
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_object,
    make_place,
    make_word,
)
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR, make_material

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)
Try = Callable[[Workshop], object]


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def one(refused: pytest.ExceptionInfo[Refused]) -> str:
    """Where the only reason stands: its field, its code, or what it says."""
    (reason,) = refused.value.reasons
    return reason.field or reason.code or reason.text


# --- mounts ----------------------------------------------------------------------------------


def ticket(shop: Workshop, **measured: Any) -> Mount:
    """A ticket with its material, written as measured at AT."""
    mount = shop.mount(measured=False)
    add_mount_material(**shop.conservator(), mount=mount, material=make_material("mount board"))
    return measure_mount(
        **shop.conservator(), mount=mount, edition=1, measured=MountMeasured(**measured)
    )


WHOLE: dict[str, Any] = {"removable_alone": True, "fixing_instruction": "Two strips."}


@pytest.mark.parametrize(
    ("measured", "field"),
    [
        ({"measured_at": AT + HOUR}, "measured_at"),
        ({"measured_at": AT, "measured_by": None}, "measured_by"),
        ({"opening_left_mm": Decimal(-1)}, "opening_left_mm"),
        ({"opening_right_mm": Decimal(-1)}, "opening_right_mm"),
        ({"gutter_step_mm": Decimal(-1)}, "gutter_step_mm"),
        ({"angle_deg": -1}, "angle_deg"),
        ({"angle_deg": 181}, "angle_deg"),
    ],
)
def test_a_measure_that_cannot_be_true_is_refused(
    shop: Workshop, measured: dict[str, Any], field: str
) -> None:
    said = {"measured_by": shop.rufus} | measured
    with pytest.raises(Refused) as refused:
        ticket(shop, **said)
    assert one(refused) == field


def test_a_mount_is_made_for_a_face_and_put_aside_with_a_reason(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        ask_for_mount(
            **shop.conservator(),
            showing=shop.showing,
            kind=make_word(Vocabulary.MOUNT_KIND, "cradle"),
            faces=(),
        )
    assert one(refused) == "faces"
    mount = shop.mount()
    with pytest.raises(Refused) as refused:
        put_mount_aside(**shop.conservator(), mount=mount, why=" ")
    assert one(refused) == "why"
    put_mount_aside(**shop.conservator(), mount=mount, why="Cracked.")
    for attempt in (
        lambda: put_mount_aside(**shop.conservator(), mount=mount, why="Again."),
        lambda: shop.fit(mount),
    ):
        with pytest.raises(Refused, match=r"^MT-\S+ was put aside \(Cracked\.\)\.$"):
            attempt()


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"checked_at": AT + 3 * HOUR}, "checked_at"),
        ({"checked_at": AT - HOUR}, "checked_at"),
        ({"result": FitResult.DOES_NOT_FIT}, "note"),
        ({"result": FitResult.DOES_NOT_FIT, "note": " "}, "note"),
        ({"mount_maker": "ada"}, "mount_maker"),
        ({"conservator": "ada"}, "conservator"),
        ({"photo": "of the other face"}, "photo"),
    ],
)
def test_a_fit_that_cannot_be_so_is_refused(
    shop: Workshop, said: dict[str, Any], field: str
) -> None:
    means = {"ada": shop.ada, "of the other face": shop.picture(shop.b)}
    values = {name: means.get(value, value) for name, value in said.items()}
    with pytest.raises(Refused) as refused:
        shop.fit(shop.mount(), **values)
    assert one(refused) == field


@pytest.mark.parametrize("gap", [{"removable_alone": None}, {"fixing_instruction": ""}])
def test_a_fit_is_signed_once_the_ticket_says_how_it_is_fixed(
    shop: Workshop, gap: dict[str, Any]
) -> None:
    mount = ticket(shop, measured_at=AT, measured_by=shop.rufus, **(WHOLE | gap))
    with pytest.raises(Refused) as refused:
        shop.sign(shop.fit(mount), Role.CONSERVATOR)
    assert one(refused) == "mount.fixing"


def test_a_fit_is_signed_once_the_ticket_names_its_materials(shop: Workshop) -> None:
    measured = MountMeasured(measured_at=AT, measured_by=shop.rufus, **WHOLE)
    mount = measure_mount(
        **shop.conservator(), mount=shop.mount(measured=False), edition=1, measured=measured
    )
    with pytest.raises(Refused) as refused:
        shop.sign(shop.fit(mount), Role.CONSERVATOR)
    assert one(refused) == "mount.materials"


# --- pictures and facsimiles -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"lit_minutes": Decimal(0), "lit_lux": -5}, "lit_lux"),
        ({"lit_lux": 200_001}, "lit_lux"),
    ],
)
def test_light_beyond_what_lamps_give_is_refused(
    shop: Workshop, said: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        deliver(shop, shop.job(), **said)
    assert one(refused) == field


def test_a_delivery_brings_pictures(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        deliver_pictures(
            **shop.by(shop.ada, Role.PHOTOGRAPHER),
            job=shop.job(),
            pictures=[],
            lit_minutes=Decimal(0),
            lit_lux=0,
            in_frame=tuple(Target),
        )
    assert one(refused) == "picture"


def test_pictures_are_sent_back_and_given_up_with_a_reason(shop: Workshop) -> None:
    job = shop.job()
    deliver(shop, job)
    for deed in (send_pictures_back, drop_imaging):
        with pytest.raises(Refused) as refused:
            deed(**shop.curator(after=3), job=job, why=" ")
        assert one(refused) == "why"
    drop_imaging(**shop.curator(after=3), job=job, why="Not shown.")
    with pytest.raises(Refused, match=r"was dropped \(Not shown\.\)"):
        deliver(shop, job)


def test_accepted_pictures_stay_as_they_are(shop: Workshop) -> None:
    job = shop.job()
    deliver(shop, job)
    accept_pictures(**shop.curator(after=3), job=job)
    later = shop.curator(after=4)
    tries: tuple[Callable[[], object], ...] = (
        lambda: deliver(shop, job),
        lambda: accept_pictures(**later, job=job),
        lambda: send_pictures_back(**later, job=job, why="Too dark."),
        lambda: drop_imaging(**later, job=job, why="Not shown."),
    )
    for attempt in tries:
        with pytest.raises(Refused, match="is accepted already"):
            attempt()
    assert ImagingJob.objects.get().accepted_by == shop.wen


@pytest.mark.parametrize("scale", [Decimal(0), Decimal(-1), Decimal(1001)])
def test_a_facsimile_has_a_size_that_can_be(shop: Workshop, scale: Decimal) -> None:
    with pytest.raises(Refused) as refused:
        shop.facsimile(scale_percent=scale)
    assert one(refused) == "scale_percent"


def test_a_facsimile_is_of_a_face_of_this_object(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        shop.facsimile(face=make_face())
    assert one(refused) == "face"


def test_a_proof_is_seen_by_now_and_an_end_has_its_words(shop: Workshop) -> None:
    row = walk_to(shop, FacsimileState.MASTER_READY)
    with pytest.raises(Refused) as refused:
        chain.see_proof(
            **shop.curator(after=5), facsimile=row, light="42 lx", seen_at=AT + 6 * HOUR
        )
    assert one(refused) == "seen_at"
    chain.see_proof(**shop.curator(after=5), facsimile=row, light="42 lx")
    with pytest.raises(Refused) as refused:
        chain.end_facsimile(**shop.curator(after=6), facsimile=row, destroyed=True, note=" ")
    assert one(refused) == "note"


# --- captions, cases -------------------------------------------------------------------------


def test_a_caption_is_of_a_face_of_this_object_and_approved_once(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        write(shop, face=make_face())
    assert one(refused) == "face"
    caption = write(shop)
    approve_caption(**shop.curator(), caption=caption, edition=1)
    with pytest.raises(Refused, match="approved already"):
        approve_caption(**shop.curator(), caption=caption, edition=1)


def test_a_case_is_ready_once_with_the_result_of_a_run_that_ended(shop: Workshop) -> None:
    with pytest.raises(Refused) as refused:
        case(shop, test_from=AT - HOUR, test_to=AT - 2 * HOUR)
    assert one(refused) == "test_to"
    said = shop.by(shop.sunniva, Role.EXHIBITION_MANAGER)
    row = case(shop, test_result="")
    with pytest.raises(Refused) as refused:
        say_case_ready(**said, case=row)
    assert one(refused) == "test_result"
    case(shop, edition=1)
    say_case_ready(**said, case=row)
    with pytest.raises(Refused, match="ready already"):
        say_case_ready(**said, case=row)


def test_light_is_proven_at_a_point_of_the_case(shop: Workshop) -> None:
    point = ReadingPoint(place=make_place(), letter="A", label="left").keep(**kept_by())
    with pytest.raises(Refused) as refused:
        prove(shop, point=point)
    assert one(refused) == "point"


# --- housing ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"inner_height_mm": Decimal(0)}, "inner_height_mm"),
        ({"inner_width_mm": Decimal(0)}, "inner_width_mm"),
        ({"inner_depth_mm": Decimal(-1)}, "inner_depth_mm"),
        ({"kind": "a cradle"}, "kind"),
    ],
)
def test_a_housing_that_cannot_be_so_is_not_specified_nor_changed_to(
    shop: Workshop, wrong: dict[str, Any], field: str
) -> None:
    cradle = make_word(Vocabulary.MOUNT_KIND, "cradle")
    values: dict[str, Any] = {
        name: cradle if name == "kind" else value for name, value in wrong.items()
    }
    wanted = replace(shop.wanted(), **values)
    with pytest.raises(Refused) as refused:
        shop.housing(wanted=wanted)
    assert one(refused) == field
    row = shop.housing()
    with pytest.raises(Refused) as refused:
        change_housing(**shop.conservator(), housing=row, edition=1, wanted=wanted)
    assert one(refused) == field
    assert Housing.objects.get().edition == 1


def test_a_housing_holds_a_component_of_this_object(shop: Workshop) -> None:
    stranger = Component(museum_object=make_object(), label="string").keep(**kept_by())
    with pytest.raises(Refused) as refused:
        shop.housing(component=stranger)
    assert one(refused) == "component"


def test_a_housing_is_tried_by_now_and_put_out_of_use_with_a_reason(shop: Workshop) -> None:
    row = shop.housing()
    housing_ordered_or_made(**shop.conservator(), housing=row, made_on=DAY, made_by="Marit")
    with pytest.raises(Refused) as refused:
        try_housing(**shop.conservator(), housing=row, fits=True, tried_at=AT + HOUR)
    assert one(refused) == "tried_at"
    with pytest.raises(Refused) as refused:
        put_housing_aside(**shop.conservator(), housing=row, why=" ")
    assert one(refused) == "why"
    put_housing_aside(**shop.conservator(), housing=row, why="Crushed.")
    with pytest.raises(Refused, match=r"is out of use \(Crushed\.\)"):
        label_housing(**shop.conservator(), housing=row, says="In pencil.")
