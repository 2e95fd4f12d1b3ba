"""What is recorded of a case, of its light before the object came, and of the way there."""

from collections.abc import Collection, Iterable, Sequence

from django.db.models import Q

from lifecycle.process.case_state import CaseLine, CaseState, LampChange, case_lines
from lifecycle.process.rights import PersonFacts
from lifecycle.queries.preparation.lamps import lighting
from lifecycle.queries.rights import may_see_showings, places_below
from lifecycle.queries.treatment.consenting import Clock
from lifecycle.records.models.exhibitions import Exhibition
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import CaseReadiness, Lamp, LightProof, RouteCheck
from lifecycle.records.models.showings import Showing


def case_of(exhibition: Exhibition, place: Place) -> CaseReadiness | None:
    return (
        CaseReadiness.objects.filter(exhibition=exhibition, place=place)
        .select_related("place", "exhibition", "ready_by", "layout")
        .first()
    )


def is_layout_for(person: PersonFacts, document: Document) -> bool:
    """Whether this is the layout of a case in which the person may see an object shown."""
    cases = CaseReadiness.objects.filter(layout=document).values_list("place", "exhibition")
    return any(
        may_see_showings(
            person, Showing.objects.filter(exhibition=exhibition, place__in=places_below([place]))
        ).exists()
        for place, exhibition in cases
    )


def light_proofs_at(exhibition: Exhibition, places: Iterable[int]) -> Sequence[LightProof]:
    """Return the proofs at a place and around it (database ids), newest first."""
    return list(
        LightProof.objects.filter(exhibition=exhibition, place__in=list(places))
        .select_related("point", "instrument", "observed_by")
        .order_by("-observed_at", "-pk")
    )


def routes_of(showing: Showing) -> Sequence[RouteCheck]:
    """Return the walks for one showing, newest first."""
    return list(
        RouteCheck.objects.filter(showing=showing)
        .select_related("from_place", "to_place", "observed_by")
        .order_by("-observed_at", "-pk")
    )


def warmed_in(cases: Collection[int]) -> dict[int, Lamp]:
    """Return, per case (database ids), the lamp in its air whose heat changed last; one query."""
    inside = Q(place__in=cases) | Q(place__parent__in=cases)
    rows = Lamp.objects.filter(inside, heat_changed_at__isnull=False)
    found: dict[int, Lamp] = {}
    for row in rows.select_related("place", "changed_by").order_by("heat_changed_at", "pk"):
        for case in (row.place_id, row.place.parent_id):
            if case is not None and case in cases:
                found[case] = row
    return found


def case_state(
    case: CaseReadiness, clock: Clock, warmed: Lamp | None, lamps: Sequence[Lamp] = ()
) -> CaseState:
    """Rows to the state of a case; ``lamps`` are those that light it and hang there today."""
    ended = case.test_to
    changed = max((lamp.changed_at for lamp in lamps), default=None)
    return CaseState(
        built_on=case.construction_done_on,
        built_by=case.construction_done_by,
        cleaned_on=case.cleaned_on,
        cleaned_by=case.cleaned_by,
        materials=case.materials_note.strip(),
        cure_until=case.cure_until,
        cure_because=case.cure_because,
        buffer=case.buffer_kind.strip(),
        conditioned_on=case.buffer_conditioned_on,
        renew_by=case.buffer_renew_by,
        run_ended_at=ended,
        run_ended_on=None if ended is None else clock.day(ended),
        run_result=case.test_result.strip(),
        run_outside=bool(case.test_outside),
        warmed=None if warmed is None else _change(warmed, clock),
        lamps=len(lamps),
        lamps_changed_on=None if changed is None else clock.day(changed),
        without_lamps=case.without_lamps,
        layout="" if case.layout is None else case.layout.title,
    )


def _change(lamp: Lamp, clock: Clock) -> LampChange:
    at = lamp.heat_changed_at or lamp.changed_at
    name, place = lamp.name, lamp.place.name
    return LampChange(name=name, place=place, by=lamp.changed_by.full_name, at=at, on=clock.day(at))


def lines_of(case: CaseReadiness, clock: Clock) -> tuple[CaseLine, ...]:
    """Return how far one case is, line by line; a fixed count of queries."""
    here = Lamp.objects.filter(place__in=lighting(case.place), taken_out_at=None)
    warmed = warmed_in([case.place_id]).get(case.place_id)
    state = case_state(case, clock, warmed, list(here))
    return case_lines(state, clock.today)
