"""What gates and pages read of treatment and preparation, in a count that does not grow."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.preparation.facsimiles import FacsimileAsked, ask_for_facsimile
from lifecycle.actions.treatment import log_step
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.made_for_it import on_showing as preparation_on_showing
from lifecycle.queries.preparation import housing_refusals, preparation_facts_of
from lifecycle.queries.treatment import proposal_facts_of
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.on_showing import on_showing
from lifecycle.records.models import Person, Showing
from lifecycle.records.models.preparation import CaseReadiness, FacsimileUse
from lifecycle.records.models.treatment import Proposal
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_person,
)
from tests.builders.core import make_showing as bare_showing
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR, a_writing, agree, done, make_sent, put_at, step_word

pytestmark = pytest.mark.django_db


def treated(marit: Person, wen: Person, exhibition: Any, *, steps: int = 1) -> Showing:
    """A showing with a consented proposal and some steps."""
    showing: Showing = bare_showing(exhibition=exhibition)
    make_face(showing.museum_object)
    version = make_sent(marit, showing=showing)
    agree(wen, version, at=AT)
    put_at(showing, Stage.TREATMENT)
    for number in range(steps):
        at = AT + timedelta(hours=number + 1)
        log_step(
            by=marit,
            role=Role.CONSERVATOR,
            at=at,
            museum_object=showing.museum_object,
            proposal=version.proposal,
            done=done(step_word("mend"), at=at),
        )
    return showing


def people() -> tuple[Person, Person, Any]:
    make_museum()
    marit, wen = make_person(Role.CONSERVATOR), make_person(Role.CURATOR)
    exhibition = make_exhibition()
    exhibition.curators.add(wen)
    return marit, wen, exhibition


@pytest.mark.parametrize("showings", [1, 3])
def test_proposals_of_an_exhibition_are_read_in_a_fixed_count(
    showings: int, django_assert_num_queries: Any
) -> None:
    marit, wen, exhibition = people()
    rows = [treated(marit, wen, exhibition) for _ in range(showings)]
    with django_assert_num_queries(15):
        facts = proposal_facts_of(rows, clock_at(AT + 9 * HOUR))
    assert [facts[row.pk][0].consented for row in rows] == [True] * showings


@pytest.mark.parametrize("showings", [1, 3])
def test_preparations_of_an_exhibition_are_read_in_a_fixed_count(
    showings: int, django_assert_num_queries: Any
) -> None:
    rows = []
    for _ in range(showings):
        shop = Workshop()
        shop.job()
        shop.facsimile()
        shop.sign(shop.fit(shop.mount()))
        shop.housing()
        CaseReadiness(
            place=shop.place, exhibition=shop.exhibition, layout=a_writing("layout.pdf")
        ).keep(**kept_by())
        rows.append(shop.showing)
    with django_assert_num_queries(19):
        facts = preparation_facts_of(rows, clock_at(AT + 9 * HOUR))
    assert [len(facts[row.pk].mounts[0].fits) for row in rows] == [1] * showings


@pytest.mark.parametrize("steps", [1, 3])
def test_the_bench_is_read_in_a_fixed_count_however_long_the_log(
    steps: int, django_assert_num_queries: Any
) -> None:
    marit, wen, exhibition = people()
    showing = treated(marit, wen, exhibition, steps=steps)
    proposal = Proposal.objects.get(showing=showing)
    with django_assert_num_queries(29):
        bench = bench_of(proposal, AT + 9 * HOUR)
    assert len(bench.steps) == steps


@pytest.mark.parametrize("steps", [1, 3])
def test_the_part_on_the_showings_page_is_read_in_a_fixed_count(
    steps: int, django_assert_num_queries: Any
) -> None:
    marit, wen, exhibition = people()
    showing = treated(marit, wen, exhibition, steps=steps)
    with django_assert_num_queries(19):
        part = on_showing(showing, AT + 9 * HOUR)
    assert len(part.proposals[0].steps) == steps


@pytest.mark.parametrize("mounts", [1, 3])
def test_the_preparations_on_the_showings_page_are_read_in_a_fixed_count(
    mounts: int, django_assert_num_queries: Any
) -> None:
    shop = Workshop()
    for _ in range(mounts):
        shop.mount()
        shop.job()
    with django_assert_num_queries(32):
        part = preparation_on_showing(shop.showing, AT)
    assert len(part.mounts) == mounts


@pytest.mark.parametrize("objects", [1, 3])
def test_the_slip_asks_for_housing_in_a_fixed_count(
    objects: int, django_assert_num_queries: Any
) -> None:
    shops = [Workshop() for _ in range(objects)]
    with django_assert_num_queries(5):
        (line,) = housing_refusals([shop.thing.pk for shop in shops], AT)
    assert line.startswith(f"not housed ({objects} of {objects})")


def test_hidden_faces_without_a_facsimile_are_named() -> None:
    shop = Workshop()
    part = preparation_on_showing(shop.showing, AT)
    assert [face.label for face in part.facsimile_missing] == ["opening A", "opening B"]
    ask_for_facsimile(
        **shop.curator(),
        showing=shop.showing,
        asked=FacsimileAsked(
            face=shop.b,
            use=FacsimileUse.SHOWS_OTHER_FACE,
            public_label="A facsimile, because a book shows one opening.",
            mark_on_back="Facsimile made 2026, not the original",
        ),
    )
    part = preparation_on_showing(shop.showing, AT)
    assert [face.label for face in part.facsimile_missing] == ["opening A"]


def test_a_proposal_that_was_not_sent_consents_to_nothing() -> None:
    marit, _, exhibition = people()
    showing = bare_showing(exhibition=exhibition)
    version = make_sent(marit, showing=showing)
    (facts,) = proposal_facts_of([showing], clock_at(AT))[showing.pk]
    assert (facts.sent, facts.consented, facts.version) == (True, False, version.version)
    assert [consent.role for consent in facts.consents] == [Role.CURATOR]
