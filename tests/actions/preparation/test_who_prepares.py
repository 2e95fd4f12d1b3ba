"""Who may not prepare anything: each deed of preparation asks for its own right."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.preparation import facsimiles as chain
from lifecycle.actions.preparation.captions import approve_caption, write_caption
from lifecycle.actions.preparation.cases import (
    CaseMade,
    check_route,
    prove_light,
    say_case_ready,
    write_case,
)
from lifecycle.actions.preparation.fitting import record_fit
from lifecycle.actions.preparation.housing import (
    change_housing,
    housing_ordered_or_made,
    label_housing,
    put_housing_aside,
    specify_housing,
    try_housing,
)
from lifecycle.actions.preparation.imaging import (
    ImagingAsked,
    accept_pictures,
    ask_for_pictures,
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
from lifecycle.actions.refusals import NotAllowed
from lifecycle.process.stages import Role
from lifecycle.records.models import Component, Facsimile
from lifecycle.records.models.preparation import (
    CaseReadiness,
    FacsimileState,
    FacsimileUse,
    FitResult,
    ImagingPurpose,
    Target,
)
from tests.actions.preparation.test_case_readiness import case
from tests.actions.preparation.test_cases_and_housing import write
from tests.actions.preparation.test_imaging_and_facsimiles import walk_to
from tests.actions.refusing import is_shut
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_person,
)
from tests.builders.preparation import Workshop, make_meter
from tests.builders.treatment import HOUR, make_material

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)
Try = Callable[[Workshop], object]


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def test_each_deed_of_preparation_takes_a_right_that_the_steward_has_not(shop: Workshop) -> None:
    """A steward keeps accounts and words; making things for objects is not theirs."""
    said = shop.by(make_person(Role.STEWARD), Role.STEWARD, after=9)
    showing, mount, job = shop.showing, shop.mount(), shop.job()
    housing, caption, made = shop.housing(), write(shop), case(shop)
    picture = shop.picture()
    of_place: dict[str, Any] = {"place": shop.place, "exhibition": shop.exhibition}
    tries: dict[str, Callable[[], object]] = {
        "ask for a mount": lambda: ask_for_mount(
            **said, showing=showing, kind=mount.kind, faces=(shop.a,)
        ),
        "write a ticket": lambda: measure_mount(
            **said, mount=mount, edition=2, measured=MountMeasured()
        ),
        "put on a material": lambda: add_mount_material(
            **said, mount=mount, material=make_material("mount board")
        ),
        "put a mount aside": lambda: put_mount_aside(**said, mount=mount, why="No."),
        "try the fit": lambda: record_fit(
            **said,
            mount=mount,
            face=shop.a,
            checked_at=AT + HOUR,
            object_present=True,
            result=FitResult.FITS,
            mount_maker=shop.rufus,
            conservator=shop.marit,
        ),
        "ask for pictures": lambda: ask_for_pictures(
            **said,
            showing=showing,
            asked=ImagingAsked(
                face=shop.b,
                purpose=ImagingPurpose.FACSIMILE_MASTER,
                due_on=DAY + A_DAY,
                needed_because="So.",
            ),
        ),
        "deliver": lambda: deliver_pictures(
            **said,
            job=job,
            pictures=[picture],
            lit_minutes=Decimal(0),
            lit_lux=0,
            in_frame=tuple(Target),
        ),
        "accept": lambda: accept_pictures(**said, job=job),
        "send back": lambda: send_pictures_back(**said, job=job, why="Dark."),
        "drop": lambda: drop_imaging(**said, job=job, why="No."),
        "ask for a facsimile": lambda: chain.ask_for_facsimile(
            **said,
            showing=showing,
            asked=chain.FacsimileAsked(
                face=shop.b,
                use=FacsimileUse.SHOWS_OTHER_FACE,
                public_label="A facsimile.",
                mark_on_back="Made 2026, not the original",
            ),
        ),
        "write a caption": lambda: write_caption(
            **said, showing=showing, face=None, text="Rain.", edition=1
        ),
        "approve a caption": lambda: approve_caption(**said, caption=caption, edition=1),
        "write a case": lambda: write_case(**said, **of_place, edition=1, made=CaseMade()),
        "say it is ready": lambda: say_case_ready(**said, case=made),
        "prove the light": lambda: prove_light(
            **said,
            **of_place,
            point=None,
            lux=Decimal(45),
            uv=None,
            instrument=make_meter(),
            with_dummy=True,
            lamp_state="As in the show.",
            observed_at=AT,
        ),
        "walk the way": lambda: check_route(
            **said,
            showing=showing,
            to_place=shop.place,
            people=2,
            equipment="Tray.",
            doors_lifts="Lift 2.",
            hazards_read=True,
            observed_at=AT,
        ),
        "specify": lambda: specify_housing(
            **said,
            museum_object=shop.thing,
            wanted=shop.wanted(),
            component=Component(museum_object=shop.thing, label="string").keep(**kept_by()),
        ),
        "change": lambda: change_housing(**said, housing=housing, edition=1, wanted=shop.wanted()),
        "make": lambda: housing_ordered_or_made(**said, housing=housing, ordered_on=DAY),
        "try": lambda: try_housing(**said, housing=housing, fits=True, tried_at=AT),
        "label": lambda: label_housing(**said, housing=housing, says="In pencil."),
        "put out of use": lambda: put_housing_aside(**said, housing=housing, why="No."),
    }
    allowed = [name for name, attempt in tries.items() if not is_shut(attempt)]
    assert allowed == []
    assert CaseReadiness.objects.get().ready_by is None


@pytest.mark.parametrize("state", [s for s in FacsimileState if s is not FacsimileState.ASKED])
def test_each_step_of_a_facsimile_takes_its_right(shop: Workshop, state: FacsimileState) -> None:
    said = shop.by(make_person(Role.STEWARD), Role.STEWARD, after=12)
    before = {
        FacsimileState.KEPT: FacsimileState.DELIVERED,
        FacsimileState.DESTROYED: FacsimileState.DELIVERED,
    }.get(state, chain.BEFORE[state][0])
    row = walk_to(shop, before)
    deeds: dict[FacsimileState, Callable[[], Facsimile]] = {
        FacsimileState.MASTER_READY: lambda: chain.name_master(
            **said, facsimile=row, picture=shop.picture()
        ),
        FacsimileState.PROOF: lambda: chain.see_proof(**said, facsimile=row, light="42 lx"),
        FacsimileState.APPROVED: lambda: chain.approve_facsimile(**said, facsimile=row),
        FacsimileState.DELIVERED: lambda: chain.deliver_facsimile(
            **said, facsimile=row, mark_seen=True
        ),
        FacsimileState.PLACED: lambda: chain.place_facsimile(
            **said, facsimile=row, where=shop.place
        ),
        FacsimileState.TAKEN_OUT: lambda: chain.take_facsimile_out(**said, facsimile=row),
        FacsimileState.KEPT: lambda: chain.end_facsimile(
            **said, facsimile=row, destroyed=False, note="Drawer 3."
        ),
        FacsimileState.DESTROYED: lambda: chain.end_facsimile(
            **said, facsimile=row, destroyed=True, note="Shredded."
        ),
    }
    with pytest.raises(NotAllowed):
        deeds[state]()
