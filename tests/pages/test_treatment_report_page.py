"""The page of a treatment report: what it begins with, who is offered the second signature."""

from datetime import timedelta

import pytest
from django.urls import reverse

from lifecycle.actions.treatment import log_step, second_read
from lifecycle.process.stages import Role
from lifecycle.records.models import CopyWord, Person
from tests.actions.treatment.test_report import Treated
from tests.builders.core import AT, make_person
from tests.builders.printing import printed
from tests.builders.treatment import HOUR, done, hand_of, step_word
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


def test_a_sheet_that_is_out_to_be_signed_is_offered_to_be_read_back_as_two_lines_a_hand() -> None:
    treated = Treated()
    treated.pair()
    treated.write()
    treated.report.refresh_from_db()
    row = printed(treated.report, at=AT + 4 * HOUR, copy_word=CopyWord.TO_SIGN)
    client = visitor(person=treated.marit)
    page = client.get(reverse("treatment-report", args=[treated.proposal.uid])).content.decode()
    address = reverse("print-read-back", args=[row.uid])
    assert address in page
    form = client.get(address).context["form"]
    assert {"signed.0.name", "signed.0.when", "read", "remarks"} <= set(form.fields)
    assert form["signed.0.name"].value() is None


def test_where_removed_matter_is_kept_comes_from_the_log_and_is_not_asked_twice() -> None:
    treated = Treated()
    for minutes, where in ((5, "Envelope E-3"), (10, "Envelope E-3"), (15, "Box 4")):
        at = AT + HOUR + timedelta(minutes=minutes)
        log_step(
            by=treated.marit,
            role=Role.CONSERVATOR,
            at=at,
            museum_object=treated.showing.museum_object,
            proposal=treated.proposal,
            done=done(
                step_word("mend"), at=at, face=treated.face, removed="A label", removed_where=where
            ),
        )
    page = visitor(person=treated.marit).get(
        reverse("treatment-report", args=[treated.proposal.uid])
    )
    assert page.context["form"]["removed_kept_where"].value() == "Envelope E-3; Box 4"
