"""Who stands in front of the pages of light, and what hangs there."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.records.models import Face, Person, Place, RoleAssignment
from tests.builders.core import kept_by, make_face, make_object, make_person, make_place
from tests.builders.light import hang, read_light

Counted = Callable[[int], AbstractContextManager[Any]]


def enter(client: Client, *roles: Role, gallery: Place | None = None) -> Person:
    person = make_person(*roles)
    for post in RoleAssignment.objects.filter(person=person):
        if gallery is not None:
            post.galleries.add(gallery)
            post.trained = True
            post.keep(**kept_by(), fields=["trained"])
    assert person.account is not None
    client.force_login(person.account)
    return person


def shown(case: Place, name: str = "a") -> Face:
    """A face put up in the case thirty days ago and read when it was put up."""
    face = make_face(make_object(title="Cloud study"))
    place = make_place(name=name, parent=case)
    opened = now() - timedelta(days=30)
    read_light(place, "48", opened)
    hang(face, place, opened_at=opened)
    return face


def text(client: Client, name: str, *args: Any, **query: Any) -> str:
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200, response.status_code
    return response.content.decode()
