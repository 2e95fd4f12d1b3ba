"""Put the result of a material's test on record; a bad one takes back what it was accepted for."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.material_tests import (
    BAD,
    RATINGS,
    HowTested,
    MaterialUse,
    Rating,
    against,
    counts_until,
)
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.materials import standings
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.treatment import Material, MaterialResult, MaterialTest

COUPONS = ("copper", "silver", "lead")


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultSaid:
    """What a test said. Without ``valid_until`` it counts for five years, as is usual."""

    how: HowTested
    rating: Rating
    tested_on: date
    tested_by: str
    valid_until: date | None = None
    copper: str = ""
    silver: str = ""
    lead: str = ""
    result: str = ""
    sample_kept: str = ""
    sheet: Document | None = None


@transaction.atomic
def record_result(
    *,
    by: Person,
    role: Role,
    at: datetime,
    material: Material,
    said: ResultSaid,
    accepted_for: Collection[MaterialUse] = (),
) -> MaterialResult:
    """Keep a result, and what the batch is accepted for from now on.

    :raises Refused: with all that can't be true of the test, and each use its results speak against
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    held = Material.objects.select_for_update().get(pk=material.pk)
    today = museum_day(at)
    if reasons := list(_faults(said, today)):
        raise Refused(reasons)
    row = MaterialResult(
        material=held,
        how=said.how,
        rating=said.rating,
        tested_on=said.tested_on,
        valid_until=said.valid_until or counts_until(said.tested_on),
        tested_by=said.tested_by.strip(),
        copper=said.copper.strip(),
        silver=said.silver.strip(),
        lead=said.lead.strip(),
        result=said.result.strip(),
        sample_kept=said.sample_kept.strip(),
        sheet=said.sheet,
        entered_at=at,
        entered_by=by,
    ).append()
    standing = standings([held], today)[held.pk]
    on_the_list = held.test_state == MaterialTest.ACCEPTED_LIST
    reasons = [
        Reason(f"{held} can't be accepted {use.label}: {why}.", f"accepted_for_{use.value}")
        for use in accepted_for
        for why in against(use, standing, on_the_list=on_the_list)
    ]
    if reasons:
        raise Refused(reasons)
    if standing.bad:
        held.test_state = MaterialTest.FAILED
    elif not on_the_list:
        held.test_state = MaterialTest.TESTED
    held.tested_on = max(said.tested_on, held.tested_on or said.tested_on)
    for use in MaterialUse:
        setattr(held, f"accepted_for_{use.value}", use in accepted_for)
    held.keep(by=by, role=role, why=f"{said.how.label}: {said.rating.label}", at=at)
    return row


def _faults(said: ResultSaid, today: date) -> Iterator[Reason]:
    if said.rating not in RATINGS[said.how]:
        words = ", ".join(rating.label for rating in RATINGS[said.how])
        yield Reason(f"The {said.how.label} is rated: {words}.", "rating")
    if said.how is HowTested.ODDY:
        for name in COUPONS:
            if not getattr(said, name).strip():
                text = f"Say how the {name} coupon looked against its control."
                yield Reason(text, name)
    if said.rating in BAD and not said.result.strip():
        yield Reason("Say what was seen, so that nobody has to find it out again.", "result")
    if said.tested_on > today:
        yield Reason("The test can't end in the future.", "tested_on")
    if said.valid_until is not None and said.valid_until < said.tested_on:
        yield Reason("It can't count until a day before it was made.", "valid_until")
    if not said.tested_by.strip():
        yield Reason("Say who tested it: a person, or a laboratory.", "tested_by")
