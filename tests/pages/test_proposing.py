"""A proposal in the browser: one press opens it, pictures come with it, the page says to whom."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LightKind
from lifecycle.queries.treatment.asking import sent_to
from lifecycle.records.models import Picture, PicturePurpose
from lifecycle.records.models.treatment import Proposal
from tests.builders.condition import picture_bytes
from tests.builders.core import AT, make_person
from tests.builders.treatment import PASSWORD, agree, make_proposal, make_sent, put_at
from tests.pages.test_treatment_pages import Scene, text, whole_form

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def a_picture(colour: str = "white") -> SimpleUploadedFile:
    return SimpleUploadedFile(f"{colour}.jpg", picture_bytes(colour=colour), "image/jpeg")


def test_one_press_on_the_showings_page_opens_a_proposal(scene: Scene) -> None:
    client = scene.client(scene.marit)
    address = reverse("proposal-start", args=[scene.showing.uid])
    page = text(client.get(reverse("showing", args=[scene.showing.uid])))
    assert f'method="post" action="{address}"' in page
    assert "treatment before display" in text(client.get(address))
    assert client.post(address).status_code == 302
    assert not Proposal.objects.get().aftercare
    again = client.post(address)
    assert "is open: write its next version" in text(again)
    put_at(scene.showing, Stage.REHOUSING)
    assert "aftercare, after display" in text(client.get(address))
    client.post(address)
    assert Proposal.objects.filter(aftercare=True).count() == 1


def test_pictures_come_with_the_form_and_a_refused_form_leaves_none(scene: Scene) -> None:
    client = scene.client(scene.marit)
    proposal = make_proposal(scene.marit, showing=scene.showing)
    version = proposal.versions.get()
    address = reverse("proposal-write", args=[proposal.uid])
    said = {"sent_face": scene.face.uid, "sent_light": "raking"}
    five = [a_picture(c) for c in ("white", "red", "green", "blue", "black")]
    refused = client.post(address, whole_form(version, sent=five, **said))
    assert "Choose 4 pictures at most" in text(refused)
    assert not Picture.objects.exists()
    broken = SimpleUploadedFile("torn.jpg", b"no picture", "image/jpeg")
    torn = client.post(address, whole_form(version, sent=[a_picture(), broken], **said))
    assert 'id="id_sent_error"' in text(torn)
    assert not Picture.objects.exists()
    two = [a_picture(), a_picture("red")]
    assert client.post(address, whole_form(version, sent=two, **said)).status_code == 302
    shown = [row.picture for row in version.pictures.order_by("pk")]
    assert [picture.name for picture in shown] == ["white.jpg", "red.jpg"]
    assert {(one.face, one.light, one.purpose) for one in shown} == {
        (scene.face, LightKind.RAKING.value, PicturePurpose.RECORD_BEFORE.value)
    }


def test_an_option_says_itself_whether_it_can_be_undone(scene: Scene) -> None:
    client = scene.client(scene.marit)
    proposal = make_proposal(scene.marit, showing=scene.showing)
    version = proposal.versions.get()
    address = reverse("proposal-write", args=[proposal.uid])
    assert text(client.get(address)).count("Can it be undone") == 4
    silent = client.post(address, whole_form(version, **{"options-1-undo": ""}))
    assert "Say of this option whether it can be undone" in text(silent)
    for_good = whole_form(version, **{"options-1-undo": "cannot_be_undone"})
    client.post(address, for_good)
    assert proposal.versions.get().reversible is False


def test_after_sending_the_page_names_whom_it_went_to_and_by_when(scene: Scene) -> None:
    client = scene.client(scene.marit)
    head = make_person(Role.HEAD_OF_COLLECTIONS, name="Ottoline Rusk")
    version = make_proposal(scene.marit, showing=scene.showing, reversible=False).versions.get()
    address = reverse("proposal-send", args=[version.uid])
    people = "Wen Castellane (curator)", "Ottoline Rusk (head of collections)"
    assert ", ".join(people) in text(client.get(address))
    page = text(client.post(address, {"password": PASSWORD}, follow=True))
    assert page.count(f"sent to {' and '.join(people)}; an answer is needed by ") == 2
    for person, role in ((scene.wen, Role.CURATOR), (head, Role.HEAD_OF_COLLECTIONS)):
        sent = version.proposal.versions.get()
        assert sent.signed_at is not None
        agree(person, sent, at=sent.signed_at, role=role)
    after = text(client.get(reverse("proposal", args=[version.proposal.uid])))
    assert "an answer is needed by" not in after


def test_an_answer_is_needed_ten_working_days_after_it_was_sent(scene: Scene) -> None:
    """Worked by hand: sent on Tuesday 2 June 2026, ten working days on is Tuesday 16 June."""
    version = make_sent(scene.marit, showing=scene.showing)
    page = text(scene.client(scene.marit).get(reverse("proposal", args=[version.proposal.uid])))
    assert "sent to Wen Castellane (curator); an answer is needed by Tue 16 Jun 2026." in page
    scene.exhibition.curators.clear()
    assert sent_to(version, AT) == ["the curator"]
