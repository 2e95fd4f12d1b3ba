"""What lenders and others have asked for in writing about showings, and the light they allow."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db.models import Q

from lifecycle.records.models import Requirement, Showing
from lifecycle.records.models.loans import Parameter, RequirementState

NO_LONGER_ASKED = (RequirementState.WAIVED_IN_WRITING.value, RequirementState.ENDED.value)


def clauses_of(showings: Sequence[Showing]) -> dict[int, list[Requirement]]:
    """Return the clauses of each showing: its own, those of its loan and those of its case.

    One query; the showings bring ``place`` with them.
    """
    loans: dict[int | None, list[int]] = defaultdict(list)
    places: dict[int | None, list[int]] = defaultdict(list)
    for row in showings:
        loans[row.loan_id].append(row.pk)
        if row.place is not None:
            places[row.place_id].append(row.pk)
            places[row.place.parent_id].append(row.pk)
    rows = Requirement.objects.filter(
        Q(showing__in=showings)
        | Q(showing=None, case=None, loan__in=loans.keys() - {None})
        | Q(showing=None, case__in=places.keys() - {None})
    )
    found: dict[int, list[Requirement]] = {row.pk: [] for row in showings}
    for clause in rows.order_by("pk"):
        if clause.showing_id is not None:
            held = [clause.showing_id]
        elif clause.case_id is not None:
            held = places[clause.case_id]
        else:
            held = loans[clause.loan_id]
        for showing_id in held:
            found[showing_id].append(clause)
    return found


def highest_allowed(clauses: Iterable[Requirement], parameter: Parameter) -> int | None:
    """Return the lowest upper limit that still binds, in whole units of the parameter."""
    return min(
        (
            int(clause.high)
            for clause in clauses
            if clause.parameter == parameter
            and clause.high is not None
            and clause.state not in NO_LONGER_ASKED
        ),
        default=None,
    )
