"""Pictures sent with a form of treatment: kept with what they show, or not at all."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from lifecycle.process.stages import Stage
from lifecycle.records.models import Picture
from lifecycle.records.models.treatment import ProposalVersion, TreatmentReport, TreatmentStep
from tests.builders.condition import picture_bytes
from tests.builders.core import AT
from tests.builders.treatment import agree, put_at
from tests.pages.test_treatment_pages import Scene, step_form, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def version(scene: Scene) -> ProposalVersion:
    sent = scene.sent()
    put_at(scene.showing, Stage.TREATMENT)
    return sent


def a_picture() -> SimpleUploadedFile:
    return SimpleUploadedFile("mend.jpg", picture_bytes(), "image/jpeg")


def test_a_refused_step_leaves_no_picture(scene: Scene, version: ProposalVersion) -> None:
    client = scene.client(scene.marit)
    address = reverse("bench", args=[version.proposal.uid])
    assert "no consent for v1" in text(client.post(address, step_form(picture=a_picture())))
    assert not Picture.objects.exists()
    agree(scene.wen, version, at=AT)
    client.post(address, step_form(picture=a_picture()))
    assert TreatmentStep.objects.get().pictures.get().picture == Picture.objects.get()
    assert Picture.objects.get().taken_by == scene.marit


def test_a_refused_pair_leaves_no_picture(scene: Scene, version: ProposalVersion) -> None:
    agree(scene.wen, version, at=AT)
    client = scene.client(scene.marit)
    client.post(reverse("bench", args=[version.proposal.uid]), step_form())
    client.post(reverse("treatment-report", args=[version.proposal.uid]), {})
    address = reverse("treatment-report-pair", args=[TreatmentReport.objects.get().uid])
    said = {
        "face": scene.face.uid,
        "light": "diffuse",
        "before_file": a_picture(),
        "before_taken_at": "2026-06-02T12:00",
        "after_file": a_picture(),
        "after_taken_at": "2026-06-02T12:30",
    }
    late = client.post(address, said)
    assert late.context["form"].errors.get("before_file"), late.context["form"].errors
    assert "was taken after the first step on this face" in text(late)
    assert not Picture.objects.exists()
    said |= {"before_file": a_picture(), "after_file": a_picture()}
    client.post(address, said | {"before_taken_at": "2026-06-02T10:00"})
    assert Picture.objects.count() == 2
