"""Put the house's own words in the place of a caution that ships, or add one."""

from collections.abc import Iterator
from datetime import datetime

from django.db import IntegrityError, transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.bench_cautions import Basis, Brings, Trait
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import CautionRule


@transaction.atomic
def write_caution_rule(
    *,
    by: Person,
    role: Role,
    at: datetime,
    trait: Trait,
    brings: Brings,
    text: str,
    source: str,
    basis: Basis,
    asks: bool,
    in_use: bool,
    why: str,
) -> CautionRule:
    """Write what the house says where the two meet, with its source; history keeps what was.

    :raises Refused: without warning, source or reason, or when somebody wrote it meanwhile
    """
    allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    if reasons := list(_faults(text=text, source=source, why=why)):
        raise Refused(reasons)
    row = _held(trait, brings) or CautionRule(trait=trait, brings=brings)
    row.text, row.source, row.basis = text.strip(), source.strip(), basis
    row.asks, row.in_use = asks, in_use
    try:
        with transaction.atomic():
            return row.keep(by=by, role=role, why=why.strip(), at=at)
    except IntegrityError as clash:
        text = f"Somebody wrote the caution on {row} meanwhile: look at it, then change it."
        raise Refused(Reason(text, "brings", "caution.meanwhile")) from clash


def _held(trait: Trait, brings: Brings) -> CautionRule | None:
    return CautionRule.objects.select_for_update().filter(trait=trait, brings=brings).first()


def _faults(*, text: str, source: str, why: str) -> Iterator[Reason]:
    if not text.strip():
        yield Reason("Say what is warned of.", "text")
    if not source.strip():
        yield Reason("Name the source: a caution without one can't be judged.", "source")
    if not why.strip():
        yield Reason("Say why the rule is written or changed.", "why")
