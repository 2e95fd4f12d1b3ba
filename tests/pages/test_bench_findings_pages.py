"""In the browser: findings from the step log, the report on paper, batches called back."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.treatment.materials import open_call_backs
from lifecycle.records.models import (
    AskedAgain,
    MaterialResult,
    Print,
    SensitivityClass,
    TreatmentFinding,
    TreatmentReport,
    TreatmentStep,
    Vocabulary,
)
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.treatment import Material
from tests.builders.condition import picture_bytes
from tests.builders.core import AT, kept_by, make_person, make_word
from tests.builders.tickets import make_mount
from tests.builders.treatment import agree, put_at
from tests.pages.signing_in import visitor
from tests.pages.test_treatment_pages import Scene, step_form, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    """One step with paste is logged on the diary's opening."""
    scene = Scene()
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    paste = Material.objects.get(name="wheat starch paste")
    scene.client(scene.marit).post(
        reverse("bench", args=[version.proposal.uid]),
        step_form(material=paste.uid, face=scene.face.uid),
    )
    return scene


def bench(scene: Scene) -> Client:
    return scene.client(scene.marit)


def finding_form(scene: Scene, **values: Any) -> dict[str, Any]:
    step = TreatmentStep.objects.get()
    return {
        "term": make_word(Vocabulary.CONDITION_TERM, "inscription").uid,
        "face": scene.face.uid,
        "zone": "B2",
        "what": "A loose slip under the lining.",
        "picture": SimpleUploadedFile("slip.jpg", picture_bytes(), "image/jpeg"),
        "light": "raking",
        "observed_at": step.observed_at.astimezone(museum_zone()).strftime("%Y-%m-%dT%H:%M"),
        "new_face_kind": "verso",
    } | values


def test_a_finding_says_what_no_longer_fits_and_whom_it_concerns(scene: Scene) -> None:
    step = TreatmentStep.objects.get()
    client = bench(scene)
    address = reverse("finding-new", args=[step.uid])
    assert address in text(client.get(reverse("bench", args=[step.proposal.uid])))  # type: ignore[union-attr]
    fugitive = SensitivityClass(code="fugitive", label="Fugitive").keep(**kept_by())
    sent = client.post(address, finding_form(scene, component_label="slip", class_now=fugitive.uid))
    assert sent.status_code == 302, sent.context["form"].errors
    finding = TreatmentFinding.objects.get()
    page = text(client.get(reverse("treatment-finding", args=[finding.uid])))
    assert "Wen Castellane, curator" in page
    assert "it was given without knowing of this component" in page
    account = AskedAgain.objects.get(kind=AskedKind.ACCOUNT)
    answer = reverse("asked-again", args=[account.uid])
    assert answer in page
    client.post(answer, {"answer": "still_fits", "why": "It is under the mat."})
    page = text(client.get(reverse("treatment-finding", args=[finding.uid])))
    assert "it still fits. It is under the mat." in page
    curator = text(scene.client(scene.wen).get(reverse("treatment-finding", args=[finding.uid])))
    assert "Decide" in curator
    assert "Answer" not in curator


def test_a_refused_finding_keeps_what_was_typed_and_says_why_at_its_field(scene: Scene) -> None:
    step = TreatmentStep.objects.get()
    answer = bench(scene).post(
        reverse("finding-new", args=[step.uid]),
        finding_form(scene, new_face_label="under the lining"),
    )
    form = answer.context["form"]
    assert "top left" in form.errors["new_face_landmark"][0]
    assert not Picture.objects.exists()
    assert "A loose slip under the lining." in text(answer)
    assert not TreatmentFinding.objects.exists()


def test_the_report_prints_itself_from_the_log(scene: Scene) -> None:
    step = TreatmentStep.objects.get()
    client = bench(scene)
    assert step.proposal is not None
    page = reverse("treatment-report", args=[step.proposal.uid])
    client.post(page, {})
    report = TreatmentReport.objects.get()
    button = reverse("print-new", args=["treatment_report", report.uid])
    assert button in text(client.get(page))
    early = client.post(button, {"copy_word": "to_sign", "page_size": "a4"})
    assert "can’t be signed yet" in early.context["form"].errors["copy_word"][0]
    client.post(button, {"page_size": "a4"})
    row = Print.objects.get()
    assert (row.copy_word, row.expected_back) == ("working", False)
    assert client.get(reverse("print-pdf", args=[row.uid])).content.startswith(b"%PDF")
    twin = text(client.get(reverse("print", args=[row.uid])))
    assert page in twin
    assert "wheat starch paste" in twin


def test_a_batch_is_found_with_its_objects_and_all_are_called_back_at_once(scene: Scene) -> None:
    client = bench(scene)
    address = reverse("treated-with")
    number = scene.showing.museum_object.object_number
    missing = client.get(address, {"name": "wheat starch paste", "batch": "B-99"})
    assert "No batch" in missing.context["find"].errors["batch"][0]
    assert "On record: 1." in missing.context["find"].errors["batch"][0]
    found = f"{address}?name=wheat+starch+paste&batch=1"
    assert number in text(client.get(found))
    form = {
        "objects": [scene.showing.museum_object.uid],
        "reason": "Yellowing: look at the mends.",
        "due_on": (now() + timedelta(days=9)).date().isoformat(),
    }
    assert visitor(person=scene.wen).post(found, form).status_code == 403
    client.post(found, form)
    call_back = open_call_backs().get()
    listed = text(client.get(reverse("call-backs")))
    assert call_back.call_back_no in listed
    assert number in text(client.get(reverse("today")))
    client.post(reverse("call-back-end", args=[call_back.uid]), {"why": "Another batch."})
    assert not open_call_backs().exists()


def test_a_test_of_a_batch_is_read_off_its_sheet_and_its_lapse_is_warned(scene: Scene) -> None:
    paste = Material.objects.get(name="wheat starch paste")
    client = bench(scene)
    said = {
        "how": "photographic_activity",
        "rating": "passed",
        "tested_on": "2015-03-02",
        "tested_by": "Laboratory of the house",
    }
    address = reverse("material-result", args=[paste.uid])
    client.post(address, said)
    assert MaterialResult.objects.get().valid_until.year == 2020
    assert "counted until" in text(client.get(reverse("material", args=[paste.uid])))
    assert "counted until" in text(client.get(reverse("materials")))
    bad = client.post(address, said | {"rating": "permanent"})
    assert "is rated: passed, failed" in bad.context["form"].errors["rating"][0]
    proposal = scene.showing.proposals.get()
    beside = f"{paste} (test lapsed)"
    assert beside in text(client.get(reverse("bench", args=[proposal.uid])))
    client.post(reverse("proposal-next", args=[proposal.uid]))
    assert beside in text(client.get(reverse("proposal-write", args=[proposal.uid])))
    mount = make_mount(scene.showing.museum_object, showing=scene.showing)
    offered = text(client.get(reverse("mount-material", args=[mount.uid])))
    assert beside in offered
    stranger = visitor(person=make_person(Role.ATTENDANT))
    assert stranger.get(reverse("treated-with")).status_code == 403


def test_a_failed_test_leads_to_calling_back_whatever_the_batch_touched(scene: Scene) -> None:
    paste = Material.objects.get(name="wheat starch paste")
    client = bench(scene)
    said = {
        "how": "ph_and_bleeding",
        "rating": "failed",
        "result": "pH 4.8 after a week.",
        "tested_on": "2026-03-02",
        "tested_by": "Laboratory of the house",
    }
    answer = client.post(reverse("material-result", args=[paste.uid]), said)
    page = client.get(answer["Location"])
    assert answer["Location"].startswith(reverse("treated-with"))
    assert scene.showing.museum_object.object_number in text(page)
    reason = page.context["form"]["reason"].value()
    assert "pH and bleeding: failed." in reason
    assert "No longer accepted touching objects, in mounts." in reason
    assert f"{paste} (test failed)" in text(
        client.get(reverse("bench", args=[scene.showing.proposals.get().uid]))
    )


def test_a_test_that_passes_and_takes_nothing_back_leads_nowhere_else(scene: Scene) -> None:
    paste = Material.objects.get(name="wheat starch paste")
    said = {
        "how": "ph_and_bleeding",
        "rating": "passed",
        "tested_on": "2026-03-02",
        "tested_by": "Laboratory of the house",
        "accepted_for_contact": "on",
        "accepted_for_mount": "on",
    }
    address = reverse("material-result", args=[paste.uid])
    assert bench(scene).post(address, said)["Location"] == reverse("material", args=[paste.uid])


def test_the_next_version_is_begun_from_a_finding_that_changes_the_plan(scene: Scene) -> None:
    step = TreatmentStep.objects.get()
    client = bench(scene)
    sent = finding_form(scene, plan_change="The mend ends short of the slip.")
    client.post(reverse("finding-new", args=[step.uid]), sent)
    finding = TreatmentFinding.objects.get()
    assert step.proposal is not None
    begin = reverse("proposal-next", args=[step.proposal.uid])
    page = text(client.get(reverse("treatment-finding", args=[finding.uid])))
    assert f'<form method="post" action="{begin}">' in page
    client.post(begin)
    assert step.proposal.versions.count() == 2
