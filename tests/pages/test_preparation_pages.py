"""Preparation in the browser: each form fills its record, each page shows it, by role."""

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.records.models import ObjectHazard, Person, Vocabulary
from lifecycle.records.models.preparation import (
    Caption,
    Facsimile,
    FitCheck,
    FixingStep,
    Housing,
    ImagingJob,
    LightProof,
    Mount,
    RouteCheck,
)
from tests.builders.core import kept_by, make_person, make_word
from tests.builders.preparation import Workshop, make_meter
from tests.builders.treatment import PASSWORD
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
THEN = "2026-06-02T11:00"


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def client_of(person: Person) -> Client:
    return visitor(person=person)


def text(response: Any) -> str:
    return str(response.content.decode())


def picture(name: str = "b.png") -> SimpleUploadedFile:
    made = BytesIO()
    Image.new("RGB", (80, 60), (200, 190, 170)).save(made, "PNG")
    return SimpleUploadedFile(name, made.getvalue(), content_type="image/png")


def test_pictures_are_asked_for_delivered_and_accepted(shop: Workshop) -> None:
    marit, ada, wen = client_of(shop.marit), client_of(shop.ada), client_of(shop.wen)
    marit.post(
        reverse("imaging-ask", args=[shop.showing.uid]),
        {
            "face": shop.b.uid,
            "purpose": "facsimile_master",
            "due_on": "2099-01-01",
            "needed_because": "Facsimile of opening B.",
            "with_whom": shop.ada.uid,
            "for_whom": shop.wen.uid,
            "resolution_ppi": "600",
            "size_mm": "210x297",
            "target_number": "on",
            "target_colour": "on",
            "light": "diffuse",
            "position": "cradle",
        },
    )
    job = ImagingJob.objects.get()
    here = reverse("imaging", args=[job.uid])
    assert "Deliver pictures" in text(ada.get(here))
    sent = {"taken_at": THEN, "lit_minutes": "6", "lit_lux": "600", "in_frame": ["scale", "grey"]}
    address = reverse("imaging-deliver", args=[job.uid])
    bad = ada.post(address, sent | {"picture": SimpleUploadedFile("x.png", b"no picture at all")})
    assert bad.status_code == 200
    assert not ImagingJob.objects.get().files.exists()
    lost = ada.post(address, sent | {"picture": picture(), "checksums": f"{'0' * 64}  b.png"})
    assert "is not the file that was checked" in text(lost)
    assert f"{'0' * 64}  b.png" in text(lost)
    bare = text(ada.post(address, sent | {"picture": picture()}))
    assert "not in the frame: object number, colour" in bare
    ada.post(address, sent | {"picture": picture(), "not_in_frame_why": "No room beside it."})
    assert "Not in the frame: object number, colour. No room beside it." in text(wen.get(here))
    marit_reads = text(marit.get(reverse("imaging-accept", args=[job.uid])))
    assert "Wen Castellane needs these pictures" in marit_reads
    page = text(wen.get(here))
    assert "60 lx·h" in page.replace("\u00a0", " ")
    wen.post(reverse("imaging-accept", args=[job.uid]))
    assert ImagingJob.objects.get().accepted_by == shop.wen


def test_fixing_steps_stand_on_the_mount_in_order_with_their_pictures(shop: Workshop) -> None:
    rufus, mount = client_of(shop.rufus), shop.mount()
    new, here = (reverse(name, args=[mount.uid]) for name in ("fixing-step-new", "mount"))
    assert "This field is required" in text(rufus.post(new, {"text": " "}))
    rufus.post(new, {"text": "Left board first.", "picture": picture()})
    rufus.post(new, {"text": "Then the strips."})
    page = text(rufus.get(here))
    assert page.index("Left board first.") < page.index("Then the strips.")
    first, second = FixingStep.objects.order_by("number")
    assert 'alt="Step 1: b.png"' in page
    rufus.post(reverse("fixing-step-change", args=[second.uid]), {"text": "Strips last."})
    rufus.post(reverse("fixing-step-drop", args=[first.uid]))
    page = text(rufus.get(here))
    assert "Strips last." in page
    assert "Left board first." not in page.split("history")[0]


def test_the_uv_lamp_s_caution_stands_where_uv_pictures_are_asked_for_and_taken(
    shop: Workshop,
) -> None:
    marit, ada = client_of(shop.marit), client_of(shop.ada)
    goggles = "Wear goggles rated for UV"
    ask = reverse("imaging-ask", args=[shop.showing.uid])
    assert goggles in text(marit.get(ask))  # the light is chosen on this form
    asked = {
        "face": shop.b.uid,
        "purpose": "damage_detail",
        "due_on": "2099-01-01",
        "needed_because": "Old mould.",
        "with_whom": shop.ada.uid,
        "resolution_ppi": "600",
        "position": "flat",
    }
    for light, said in (("uv_fluorescence", True), ("diffuse", False)):
        marit.post(ask, {**asked, "light": light})
        job = ImagingJob.objects.get(light=light)
        for page in ("imaging", "imaging-deliver"):
            assert (goggles in text(ada.get(reverse(page, args=[job.uid])))) is said


def test_a_facsimile_walks_its_chain_by_buttons(shop: Workshop) -> None:
    wen = client_of(shop.wen)
    address = reverse("facsimile-ask", args=[shop.showing.uid])
    asked = {
        "face": shop.b.uid,
        "use": "shows_other_face",
        "public_label": "The other opening.",
        "mark_on_back": "Facsimile made 2026, not the original",
        "scale_percent": "100",
        "after_show": "keep_for_next",
    }
    refused = wen.post(address, asked)
    assert "must say that it is a facsimile" in text(refused)
    assert "The other opening." in text(refused)
    wen.post(address, asked | {"public_label": "A facsimile of the other opening."})
    row = Facsimile.objects.get()
    page = text(wen.get(reverse("facsimile", args=[row.uid])))
    assert "Name the master image" in page
    assert "Approve the proof" not in page
    early = wen.post(reverse("facsimile-step", args=[row.uid, "approve"]), {})
    assert "after ‘proof’" in text(early)
    nothing = wen.get(reverse("facsimile-step", args=[row.uid, "paint"]))
    assert nothing.status_code == 404


def test_a_mount_is_asked_for_measured_tried_and_signed_by_both(shop: Workshop) -> None:
    marit, rufus = client_of(shop.marit), client_of(shop.rufus)
    marit.post(
        reverse("mount-ask", args=[shop.showing.uid]),
        {
            "kind": make_word(Vocabulary.MOUNT_KIND, "cradle").uid,
            "faces": [shop.a.uid],
            "with_whom": shop.rufus.uid,
        },
    )
    asked = Mount.objects.get()
    assert "being made" in text(rufus.get(reverse("mount", args=[asked.uid])))
    made = shop.mount()
    marit.post(
        reverse("fit-check", args=[made.uid]),
        {
            "face": shop.a.uid,
            "checked_at": "2026-06-02T12:00",
            "object_present": "on",
            "result": "fits",
            "mount_maker": shop.rufus.uid,
            "conservator": shop.marit.uid,
            "photo": picture(),
        },
    )
    check = FitCheck.objects.get()
    for client in (marit, rufus):
        client.post(reverse("fit-sign", args=[check.uid]), {"password": PASSWORD})
    assert "fit check signed" in text(marit.get(reverse("mount", args=[made.uid])))
    stranger = visitor(Role.CONSERVATOR)
    assert (
        stranger.post(reverse("fit-sign", args=[check.uid]), {"password": PASSWORD}).status_code
        == stranger.get(reverse("fit-sign", args=[check.uid])).status_code
        == 403
    )


def test_a_caption_is_written_and_approved_by_the_curator(shop: Workshop) -> None:
    wen = client_of(shop.wen)
    wen.post(
        reverse("caption-write", args=[shop.showing.uid]),
        {"version": "0", "text": "Weather diary <1741>."},
    )
    row = Caption.objects.get()
    page = text(wen.get(reverse("caption", args=[shop.showing.uid])))
    assert "Weather diary &lt;1741&gt;." in page
    approve = reverse("caption-approve", args=[row.uid])
    assert client_of(shop.marit).post(approve, {"version": "1"}).status_code == 403
    wen.post(approve, {"version": "one"})
    assert Caption.objects.get().approved_at is None
    wen.post(approve, {"version": "1"})
    assert Caption.objects.get().approved_by == shop.wen


def test_a_stale_caption_gets_a_409_page_with_both_texts(shop: Workshop) -> None:
    wen = client_of(shop.wen)
    address = reverse("caption-write", args=[shop.showing.uid])
    wen.post(address, {"version": "0", "text": "First text."})
    answer = wen.post(address, {"version": "0", "text": "Second text."})
    assert answer.status_code == 409
    assert "First text." in text(answer)
    assert "Second text." in text(answer)


def test_light_with_a_dummy_is_kept_beside_its_ceiling(shop: Workshop) -> None:
    meter, marit = make_meter(), client_of(shop.marit)
    address = reverse("light-proof", args=[shop.showing.uid])
    said = {
        "lux": "80",
        "uv": "8",
        "instrument": meter.uid,
        "with_dummy": "on",
        "lamp_state": "As in the show.",
        "observed_at": THEN,
    }
    assert "Enter a number" in text(marit.post(address, said | {"lux": "dim"}))
    marit.post(address, said)
    assert LightProof.objects.get().ceiling_lux == 50
    assert "above the ceiling" in text(marit.get(address))


def test_hazards_stand_above_the_route_and_have_to_be_read(shop: Workshop) -> None:
    ObjectHazard(museum_object=shop.thing, hazard=Hazard.LEAD, evidence=HazardEvidence.TESTED).keep(
        **kept_by()
    )
    marit = client_of(shop.marit)
    address = reverse("route", args=[shop.showing.uid])
    said = {
        "to_place": str(shop.place.uid),
        "people": "2",
        "equipment": "Tray.",
        "doors_lifts": "Lift 2.",
        "observed_at": THEN,
    }
    assert "Lead" in text(marit.get(address))
    assert "Read the hazards" in text(marit.post(address, said))
    assert not RouteCheck.objects.exists()
    marit.post(address, said | {"hazards_read": "on"})
    assert RouteCheck.objects.get().people == 2


def test_a_housing_is_specified_made_tried_and_shown(shop: Workshop) -> None:
    marit = client_of(shop.marit)
    marit.post(
        reverse("housing-specify", args=[shop.showing.uid]),
        {
            "kind": make_word(Vocabulary.HOUSING_KIND, "sink-mat").uid,
            "board": "unbuffered",
            "orientation": "any",
        },
    )
    row = Housing.objects.get()
    of = reverse("housing-of", args=[shop.showing.uid])
    assert "not housed (1 of 1)" in text(marit.get(of))
    marit.post(
        reverse("housing-made", args=[row.uid]), {"made_on": "2026-06-01", "made_by": "M. O."}
    )
    marit.post(
        reverse("housing-try", args=[row.uid]),
        {"fits": "yes", "tried_at": THEN, "old_housing": "none", "old_notes": "none"},
    )
    assert "not housed" not in text(marit.get(of))
    printing = reverse("print-new", args=["housing_label", row.uid])
    assert printing in text(marit.get(of))
    assert printing in text(client_of(make_person(Role.REGISTRAR)).get(of))
    assert printing not in text(client_of(make_person(Role.CURATOR)).get(of))
    page = text(marit.get(reverse("housing", args=[row.uid])))
    assert row.housing_no in page
    assert "tried with the object" in page


ASKERS = {
    "imaging-ask": {Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS},
    "facsimile-ask": {Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS},
    "mount-ask": {Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS},
    "housing-specify": {Role.CONSERVATOR},
    "light-proof": {Role.CONSERVATOR},
    "route": {Role.CONSERVATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS},
}


@pytest.mark.parametrize("role", [r for r in Role if r not in (Role.COURIER, Role.LENDER)])
def test_who_may_open_which_form(shop: Workshop, role: Role) -> None:
    """Cells of the rights table for somebody with no job, gallery or exhibition of their own."""
    client = visitor(role)
    got = {name: client.get(reverse(name, args=[shop.showing.uid])).status_code for name in ASKERS}
    assert got == {name: 200 if role in able else 403 for name, able in ASKERS.items()}


def test_every_record_shows_its_history(shop: Workshop) -> None:
    marit = client_of(shop.marit)
    pages = [
        reverse("imaging", args=[shop.job().uid]),
        reverse("facsimile", args=[shop.facsimile().uid]),
        reverse("mount", args=[shop.mount().uid]),
        reverse("housing", args=[shop.housing().uid]),
    ]
    for page in pages:
        assert "What changed here, by whom and why" in text(marit.get(page))


def test_who_places_a_facsimile_at_the_open_case_reads_the_cautions_first(shop: Workshop) -> None:
    row = shop.facsimile()
    said = text(client_of(shop.marit).get(reverse("facsimile-step", args=[row.uid, "place"])))
    assert "glazing breaks" in said
    assert "local codes" in said
