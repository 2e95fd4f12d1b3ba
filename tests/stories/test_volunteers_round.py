"""A seasonal volunteer reads and flags in one gallery, and finds the answer there."""

from datetime import UTC, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import localdate, now

from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.light import account_of
from lifecycle.records.models import LightReading, Look, Person, RoleAssignment
from tests.actions.test_loans import loan
from tests.builders.core import (
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import make_crew
from tests.builders.light import hang, make_case, make_meter, make_point, read_light
from tests.pages.plain_words import words_of

pytestmark = pytest.mark.django_db


def sign_in(client: Client, person: Person) -> None:
    assert person.account is not None
    client.force_login(person.account)


def test_gil_flags_the_album_reads_three_points_and_finds_his_answer(client: Client) -> None:
    make_museum()
    crew = make_crew()
    lent = loan(crew)
    album_case = make_case(name="Case N7")
    gallery = album_case.parent
    assert gallery is not None
    others = [make_place(name=f"Case N{n}", kind=PlaceKind.CASE, parent=gallery) for n in (8, 9)]
    face = make_face(make_object(title="Photograph album of a hill station"))
    opened = now() - timedelta(days=40)
    read_light(album_case, "44", opened)
    hang(face, make_place(parent=album_case), opened_at=opened)
    gil = make_person(Role.ATTENDANT, name="Gil Perrin", ends_on=localdate() + timedelta(days=30))
    for post in RoleAssignment.objects.filter(person=gil):
        post.galleries.add(gallery)
        post.trained = True
        post.keep(**kept_by(), fields=["trained"])
    sign_in(client, gil)
    assert "Case N7" in client.get(reverse("round")).content.decode()
    moment = (now() - timedelta(minutes=5)).astimezone(UTC).isoformat(timespec="minutes")
    meter = make_meter()
    for case in (album_case, *others):
        sent = {
            "lux": "45", "uv": "", "point": make_point(case).pk, "instrument": meter.pk,
            "lamp_state": "show", "read_at": moment,
        }  # fmt: skip
        address = reverse("reading-take", args=[case.uid])
        assert client.post(address, sent).status_code == 302, case.name
    assert LightReading.objects.filter(read_by=gil, counts=True, by_volunteer=True).count() == 3
    look = {"looked_at": moment, "note": "hazy at the left", "through_glass": "on"}
    flagged = client.post(
        reverse("look-take", args=[face.museum_object.uid]), {**look, "seen": "look_again"}
    )
    assert flagged.status_code == 302
    flag = Look.objects.get()
    bay = make_place("Bay 4", PlaceKind.BAY)
    for closed in (
        reverse("loan", args=[lent.uid]),
        reverse("place", args=[bay.uid]),
        reverse("look-answer", args=[flag.uid]),
        reverse("light-entry-correct", args=[flag.uid]),
    ):
        assert client.get(closed).status_code in (403, 404), closed
    oldacre = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    sign_in(client, oldacre)
    said = {"text": "seen, dust on glass, cleaned"}
    assert client.post(reverse("look-answer", args=[flag.uid]), said).status_code == 302
    sign_in(client, gil)
    page = words_of(client.get(reverse("readings", args=[album_case.uid])).content.decode())
    assert "answered: seen, dust on glass, cleaned, Marit Oldacre" in page
    # What the volunteer read counts in the account, marked.
    (line,) = account_of(face, now()).lines
    assert "some by a volunteer" in line.basis
