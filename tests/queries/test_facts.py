"""Facts cost the same number of queries for five showings and for two hundred."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lifecycle.process.stages import Stage
from lifecycle.queries.facts import facts_of, facts_of_one
from tests.builders.core import AT, make_exhibition, make_museum, make_showing

pytestmark = pytest.mark.django_db


def queries_for(number: int) -> int:
    exhibition = make_exhibition()
    showings = [make_showing(exhibition=exhibition) for _ in range(number)]
    with CaptureQueriesContext(
        connection,
    ) as counted:
        facts = facts_of([showing.pk for showing in showings], AT)
    assert len(facts) == number
    return len(counted)


def test_the_number_of_queries_is_the_same_at_five_and_at_two_hundred() -> None:
    make_museum()
    assert queries_for(5) == queries_for(200)


def test_a_showing_without_a_journal_is_not_asked_for_yet() -> None:
    showing = make_showing()
    facts = facts_of_one(showing, AT)
    assert showing.stage == Stage.SELECTION
    assert facts.stage is None
    assert facts.object.number == showing.museum_object.object_number
    assert facts_of([], AT) == {}
