"""A reason that is about a face leads to a form with that face chosen."""

from dataclasses import replace
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.http import QueryDict
from django.urls import reverse

from lifecycle.pages.errands import address, is_open
from lifecycle.process.facts.objects import PlanFace
from lifecycle.process.rights import PersonFacts, Post, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import FaceKind
from lifecycle.queries.errands import errand_of
from tests.builders.core import kept_by
from tests.builders.preparation import Workshop
from tests.pages.signing_in import visitor
from tests.process.lawful import lawful

B = "ff. 88v & 89r"


def test_a_reason_about_a_face_names_it_in_its_address() -> None:
    faces = tuple(
        PlanFace(face_id=order, label=label, order=order)
        for order, label in ((1, "ff. 31v-32r"), (2, B))
    )
    bare = replace(lawful("declare_ready"), faces=faces)
    facts = replace(bare, preparation=replace(bare.preparation, mounts=(), facsimiles=()))
    for code in ("mount.fit", "facsimile.missing"):
        errand = errand_of(code, B, facts)
        assert errand is not None
        found = address(errand.url_name, {"uid": str(uuid4())}, errand.query)
        assert QueryDict(urlsplit(found).query)["face"] == B
        other = errand_of(code, "no face of it", facts)
        assert other is not None
        assert other.query == ""


def test_a_companions_own_showing_is_linked_for_those_who_plan_it_alone() -> None:
    about = SubjectFacts(exhibition_id=1, object_id=1, job_person_ids=frozenset({7}))

    def opens(role: Role) -> bool:
        post = Post(role=role, exhibitions=frozenset({1}))
        return is_open("showing", PersonFacts(person_id=7, name="N", posts=(post,)), about)

    led = {role for role in (Role.CURATOR, Role.REGISTRAR, Role.CONSERVATOR) if opens(role)}
    assert led == {Role.CURATOR, Role.REGISTRAR, Role.CONSERVATOR}
    assert not opens(Role.MOUNT_MAKER)
    assert not opens(Role.TECHNICIAN)


@pytest.mark.django_db
def test_each_form_chooses_the_face_that_is_asked_for_and_a_cradle_one_opening() -> None:
    shop = Workshop()
    for face in (shop.a, shop.b):
        face.kind = FaceKind.OPENING
        face.keep(**kept_by())
    client = visitor(person=shop.marit)

    def initial(page: str, field: str, query: dict[str, Any]) -> Any:
        answer = client.get(reverse(page, args=[shop.showing.uid]), query)
        return answer.context["form"].fields[field].initial

    named = {"face": shop.b.label}
    assert initial("mount-ask", "faces", named) == [shop.b.uid]
    assert initial("mount-ask", "faces", {}) == [shop.a.uid]
    assert initial("facsimile-ask", "face", {"face": str(shop.b.uid)}) == shop.b.uid
    assert initial("facsimile-ask", "face", {"face": "of another object"}) is None
    assert initial("imaging-ask", "face", named) == shop.b.uid
