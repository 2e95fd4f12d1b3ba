"""The page of a treatment report: who is offered the second signature."""

import pytest
from django.urls import reverse

from lifecycle.actions.treatment import second_read
from lifecycle.process.stages import Role
from lifecycle.records.models import Person
from tests.actions.treatment.test_report import Treated
from tests.builders.core import AT, make_person
from tests.builders.treatment import HOUR, hand_of
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def test_only_the_second_reader_named_is_offered_the_signature_and_only_once() -> None:
    treated = Treated(second=True)
    treated.pair()
    piers, other = make_person(Role.CONSERVATOR), make_person(Role.CONSERVATOR)
    treated.write(second_reader=piers)
    treated.sign()
    address = reverse("treatment-report", args=[treated.proposal.uid])

    def offered(person: Person) -> bool:
        page = visitor(person=person).get(address).content.decode()
        return "Sign as second reader" in page

    assert offered(piers)
    assert not offered(other)
    assert not offered(treated.marit)
    second_read(hand=hand_of(piers, Role.CONSERVATOR), at=AT + 5 * HOUR, report=treated.report)
    assert not offered(piers)
