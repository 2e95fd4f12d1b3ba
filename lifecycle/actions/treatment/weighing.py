"""Keep the cautions a version raises, with the conservator's reason for proposing it all the same.

They are worked out from what is saved, so that nobody has to think of them; the words are kept as
they stood, because house rules change.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lifecycle.actions.refusals import Reason
from lifecycle.process.bench_cautions import Brings, Raised, Trait, asks_of
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.cautions import at_bench, raised_by_version, reasons_of
from lifecycle.records.models.treatment import ProposalVersion, VersionCaution


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAnswer:
    """Why a version goes on in spite of one caution."""

    trait: Trait
    brings: Brings
    why: str


def raised_now(version: ProposalVersion, at: datetime) -> tuple[Raised, ...]:
    """Return the cautions the saved steps and materials of a version raise."""
    thing = at_bench(version.proposal.museum_object)
    return raised_by_version(thing, version, museum_day(at))


def keep_cautions(
    version: ProposalVersion,
    answers: Sequence[CautionAnswer],
    *,
    sign: Mapping[str, Any],
    at: datetime,
) -> None:
    """Write one row for each caution raised; a reason given before stays unless a new one comes."""
    rows = {(row.trait, row.brings): row for row in version.cautions.order_by("pk")}
    given = {(line.trait.value, line.brings.value): line.why.strip() for line in answers}
    wanted = {one.rule.key: one for one in raised_now(version, at)}
    for key, one in wanted.items():
        row = rows.get(key) or VersionCaution(version=version, trait=key[0], brings=key[1])
        row.warning, row.left_out = one.sentence, False
        row.why = given.get(key, row.why)
        row.keep(**sign)
    for past, row in rows.items():
        if past not in wanted and not row.left_out:
            row.left_out = True
            row.keep(**sign)


def unweighed(version: ProposalVersion, at: datetime) -> Iterator[Reason]:
    """Yield each caution that asks for a reason and has none, before a version is sent."""
    reasons = reasons_of(version)
    for one in asks_of(raised_now(version, at)):
        if one.rule.key not in reasons:
            text = f"{one.sentence} Say why you propose it all the same."
            yield Reason(text, "cautions", f"caution.{one.rule.trait}.{one.rule.brings}")
