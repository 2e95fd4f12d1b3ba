"""Answers from outside, of a source community or a lender, put on record in the browser."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from lifecycle.actions.preparation.mounts import ask_for_mount
from lifecycle.papers.filling.treatment_proposal import treatment_proposal_words
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import OwnerKind
from lifecycle.queries.pictures import stored_files
from lifecycle.records.models import (
    Document,
    Organisation,
    OrganisationKind,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.treatment import (
    Consent,
    DeviationConsent,
    ProposalVersion,
    TreatmentStep,
)
from tests.builders.core import (
    AT,
    kept_by,
    make_face,
    make_object,
    make_person,
    make_showing,
    make_word,
)
from tests.builders.treatment import PASSWORD, agree, make_sent, put_at
from tests.pages.signing_in import visitor
from tests.pages.test_treatment_pages import Scene, step_form, text

pytestmark = pytest.mark.django_db
FERRY = "Tern Ferry families"


class Named(Scene):
    """The scene with an object for whose treatment a community is asked; it is a loan if asked."""

    def __init__(self, **thing: Any) -> None:
        super().__init__()
        self.thing = make_object(**{"source_community": FERRY} | thing)
        self.face = make_face(self.thing)
        self.showing: Showing = make_showing(exhibition=self.exhibition, museum_object=self.thing)
        self.josephine = make_person(Role.REGISTRAR, name="Josephine Abara")
        self.version: ProposalVersion = make_sent(self.marit, showing=self.showing)


def told(**values: Any) -> dict[str, Any]:
    said = {
        "decision": "agree",
        "speaker": "Asa Merrin",
        "given_at": "2026-06-02T12:00",
        "how": "meeting",
        "scan": SimpleUploadedFile("note.pdf", b"%PDF-1.4 note\n%%EOF\n", "application/pdf"),
        "password": PASSWORD,
    }
    return said | values


def test_the_registrar_puts_the_communitys_answer_on_record_and_the_bench_opens(
    settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    scene = Named()
    josephine = scene.client(scene.josephine)
    address = reverse("consent-community", args=[scene.version.uid])
    page = text(josephine.get(reverse("proposal", args=[scene.version.proposal.uid])))
    assert address in page
    assert f"by the source community ({FERRY})" in page
    wrong = josephine.post(address, told(password="not mine"))
    assert "This is not the password" in text(wrong)
    assert "Asa Merrin" in text(wrong)
    assert not Consent.objects.exists()
    assert not Document.objects.exists()
    assert not list(stored_files()), "the writing went with the refusal"
    josephine.post(address, told())
    given = Consent.objects.get()
    assert (given.spoken_by, given.person) == ("Asa Merrin", scene.josephine)
    after = text(josephine.get(reverse("proposal", args=[scene.version.proposal.uid])))
    assert f"Asa Merrin ({FERRY}, at a meeting)" in after
    scan = given.signature.scan
    assert scan is not None
    writing = reverse("document", args=[scan.sha256])
    assert writing in after
    rufus = make_person(Role.MOUNT_MAKER)
    ask_for_mount(
        by=scene.marit,
        role=Role.CONSERVATOR,
        at=AT,
        showing=scene.showing,
        kind=make_word(Vocabulary.MOUNT_KIND, "cradle"),
        faces=[scene.face],
        with_whom=rufus,
    )
    his = text(visitor(person=rufus).get(reverse("proposal", args=[scene.version.proposal.uid])))
    assert f"Asa Merrin ({FERRY}, at a meeting)" in his
    assert writing not in his, "its door is shut to him"
    words = treatment_proposal_words(scene.version, scene.version.signed_at or AT)
    assert words.needed == ("Curator", f"Source community: {FERRY}")


def test_nobody_but_who_registers_and_no_object_that_names_nobody_has_that_page() -> None:
    scene = Named()
    address = reverse("consent-community", args=[scene.version.uid])
    assert visitor(person=scene.wen).get(address).status_code == 403
    scene.thing.source_community = ""
    scene.thing.keep(**kept_by())
    assert scene.client(scene.josephine).get(address).status_code == 200, "it was sent to them"
    scene = Named(source_community="")
    address = reverse("consent-community", args=[scene.version.uid])
    assert scene.client(scene.josephine).get(address).status_code == 404


def test_a_deviation_is_answered_from_outside_by_the_community_and_by_the_lender() -> None:
    trust = Organisation(name="Saltmarsh Trust", kind=OrganisationKind.LENDER).keep(**kept_by())
    scene = Named(owner_kind=OwnerKind.LENDER, lender=trust)
    speaker = make_person(name="Ottilie Marsh", organisation=trust, account=False)
    josephine = scene.client(scene.josephine)
    josephine.post(reverse("consent-community", args=[scene.version.uid]), told())
    josephine.post(
        reverse("consent-writing", args=[scene.version.uid]),
        told(person=speaker.uid, signed_at="2026-06-02T12:00"),
    )
    agree(scene.wen, scene.version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    bench = reverse("bench", args=[scene.version.proposal.uid])
    odd = step_form(observed_at="2026-06-02T12:30", deviation="on", deviation_why="Thicker.")
    scene.client(scene.marit).post(bench, odd)
    step = TreatmentStep.objects.get()
    address = reverse("deviation-answer", args=[step.uid])
    assert address in text(josephine.get(reverse("proposal", args=[scene.version.proposal.uid])))
    assert "?of=lender" in text(josephine.get(address))
    josephine.post(address, told(given_at="2026-06-02T13:00"))
    josephine.post(f"{address}?of=lender", told(person=speaker.uid, signed_at="2026-06-02T13:00"))
    said = [row.spoken_by for row in DeviationConsent.objects.order_by("pk")]
    assert said == ["Asa Merrin", "Ottilie Marsh"]
