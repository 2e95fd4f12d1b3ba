"""Who is named on a showing is found by every path, for one showing and for many."""

from functools import reduce
from operator import or_

import pytest
from django.db.models import Q

from lifecycle.process.moves import onward
from lifecycle.queries.jobs_of import JOB_PATHS, job_person_ids
from lifecycle.records.models import Person, Showing
from tests.builders.core import make_showing
from tests.builders.trip import Museum, Trip

pytestmark = pytest.mark.django_db


def by_each_person() -> dict[int, frozenset[int]]:
    """The same, asked the slow way round: person by person."""
    named = {
        person.pk: set(
            Showing.objects.filter(
                reduce(or_, (Q(**{path: person.pk}) for path in JOB_PATHS))
            ).values_list("pk", flat=True)
        )
        for person in Person.objects.all()
    }
    return {
        pk: frozenset(person for person, showings in named.items() if pk in showings)
        for pk in Showing.objects.values_list("pk", flat=True)
    }


def test_everybody_is_found_on_their_own_showing_and_on_no_other() -> None:
    museum = Museum()
    trip = Trip(museum)
    while (move := onward(trip.facts())) is not None and move.name != "take_down":
        left = [b for b in move.blockers(trip.facts()) if not b.code.startswith("install.")]
        if left:
            assert trip.deal_with(left[0].code), left[0]
        else:
            trip.move(move.name)
    bare = [make_showing(exhibition=museum.exhibition) for _ in range(3)]
    wanted = by_each_person()

    assert len(wanted[trip.showing.pk]) > 2
    assert job_person_ids(list(wanted)) == wanted
    assert job_person_ids([bare[1].pk, trip.showing.pk]) == {
        pk: wanted[pk] for pk in (bare[1].pk, trip.showing.pk)
    }
    for pk, people in wanted.items():
        assert job_person_ids([pk]) == {pk: people}
    assert job_person_ids([]) == {}
