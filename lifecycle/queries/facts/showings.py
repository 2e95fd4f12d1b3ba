"""Facts of showings, whole: loads each subject once for all of them and puts the parts together."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import Any

from django.db.models import QuerySet

from lifecycle.process.facts.condition import ReportFacts
from lifecycle.process.facts.display import DisplayFacts
from lifecycle.process.facts.home import HomeFacts
from lifecycle.process.facts.light import ShowingLight
from lifecycle.process.facts.objects import ObjectFacts, PlanFace
from lifecycle.process.facts.preparation import PreparationFacts
from lifecycle.process.facts.showing import (
    AnswerFacts,
    AssessmentFacts,
    ExhibitionFacts,
    MoveMade,
    NextFacts,
    RequestFacts,
    ShowingFacts,
    TakeOverFacts,
    WaiverFacts,
)
from lifecycle.process.facts.treatment import AskedAgainFacts, ProposalFacts
from lifecycle.process.gates.asking import YES_OF_A_KIND
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.words import Answer, ExhibitionState, FitForDisplay
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.facts.condition import reports_of
from lifecycle.queries.facts.display import displays_of, take_overs_of
from lifecycle.queries.facts.home import homes_of, last_moved
from lifecycle.queries.facts.objects import latest_answers, objects_of, plan_of
from lifecycle.queries.facts.rules import rules_of
from lifecycle.queries.jobs_of import job_person_ids
from lifecycle.queries.light import light_of
from lifecycle.queries.preparation import preparation_facts_of
from lifecycle.queries.treatment import asked_again_of, proposal_facts_of
from lifecycle.queries.treatment.consenting import clock_under
from lifecycle.records.models import (
    Alternative,
    Assessment,
    JournalEntry,
    RequestAnswer,
    Showing,
    Waiver,
    Withdrawal,
)


def open_showings() -> QuerySet[Showing, Any]:
    """Showings that have begun and are not closed."""
    return Showing.objects.exclude(stage__in=sorted(CLOSED)).order_by("pk")


def facts_of_one(showing: Showing, at: datetime) -> ShowingFacts:
    return facts_of([showing.pk], at)[showing.pk]


def facts_of(showing_ids: Iterable[int], at: datetime) -> dict[int, ShowingFacts]:
    """Return the snapshot of each showing for the moment ``at``, in a fixed number of queries."""
    showings = list(
        Showing.objects.filter(pk__in=list(showing_ids))
        .select_related("exhibition__manager", "museum_object", "place")
        # Few showings have these: to name their columns each time takes longer than to ask again.
        .prefetch_related("loan__lender", "substitute__museum_object", "passed_on_to__exhibition")
        .order_by("pk")
    )
    if not showings:
        return {}
    zone = museum_zone()
    today = at.astimezone(zone).date()
    pks = [showing.pk for showing in showings]
    rules = rules_in_force(today)
    clock = clock_under(rules, at, zone)
    told = rules_of((showing.exhibition_id for showing in showings), rules)
    coming = [s.passed_on_to for s in showings if s.passed_on_to is not None]
    light = light_of([*showings, *(c for c in coming if c.pk not in set(pks))], at)
    plans = plan_of([*pks, *(c.pk for c in coming)])
    answers = latest_answers([*pks, *(c.pk for c in coming)])
    journals = _journals(pks, zone)
    down = {pk: _taken_down_at(made) for pk, made in journals.items()}
    withdrawals = {row.showing_id: row for row in _withdrawals(pks)}
    confirmed = {pk: row.back_at_id for pk, row in withdrawals.items()}
    parts = _Parts(
        objects=objects_of(showings, zone, today, rules.travel_days if rules else 0, confirmed),
        reports=reports_of(showings, zone),
        proposals=proposal_facts_of(showings, clock),
        asked_again=asked_again_of(showings, clock),
        preparation=preparation_facts_of(showings, clock),
        displays=displays_of(showings, light),
        homes=homes_of(showings, down),
        take_overs=take_overs_of(showings, at, zone, rules.taking_over_until if rules else None),
        moved=last_moved(showings, zone),
        alternatives=_alternatives(pks),
        assessments=_assessments(pks, zone),
        waivers=_waivers(pks),
        withdrawals=withdrawals,
        jobs=job_person_ids(pks),
    )
    return {
        showing.pk: ShowingFacts(
            stage=_stage(showing, journals),
            today=today,
            moment=at,
            showing_no=showing.request_no,
            uid=str(showing.uid),
            showing_id=showing.pk,
            exhibition=_exhibition(showing, today),
            request=_request(
                showing,
                parts.alternatives.get(showing.pk, 0),
                parts.withdrawals.get(showing.pk),
            ),
            object=parts.objects[showing.pk],
            faces=plans.get(showing.pk, ()),
            answer=_answer(answers.get(showing.pk), zone),
            assessment=parts.assessments.get(showing.pk),
            reports=parts.reports[showing.pk],
            proposals=parts.proposals[showing.pk],
            asked_again=parts.asked_again[showing.pk],
            preparation=parts.preparation[showing.pk],
            light=light.get(showing.pk, ShowingLight()),
            display=parts.displays[showing.pk],
            home=parts.homes[showing.pk],
            take_over=parts.take_overs[showing.pk],
            next=_next(showing.passed_on_to, answers, light, plans),
            waivers=tuple(parts.waivers[showing.pk]),
            journal=tuple(made for made, struck in journals[showing.pk] if not struck),
            last_moved_at=parts.moved.get(showing.museum_object_id),
            place=showing.place.name if showing.place else "",
            job_person_ids=parts.jobs[showing.pk],
            rules=told[showing.exhibition_id],
        )
        for showing in showings
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """What each subject said, by showing; ``moved`` goes by object."""

    objects: dict[int, ObjectFacts]
    reports: dict[int, tuple[ReportFacts, ...]]
    proposals: dict[int, tuple[ProposalFacts, ...]]
    asked_again: dict[int, tuple[AskedAgainFacts, ...]]
    preparation: dict[int, PreparationFacts]
    displays: dict[int, DisplayFacts]
    homes: dict[int, HomeFacts]
    take_overs: dict[int, TakeOverFacts]
    moved: dict[int, datetime]
    alternatives: dict[int, int]
    assessments: dict[int, AssessmentFacts]
    waivers: dict[int, list[WaiverFacts]]
    withdrawals: dict[int, Withdrawal]
    jobs: dict[int, frozenset[int]]


def _journals(pks: Sequence[int], zone: tzinfo) -> dict[int, list[tuple[MoveMade, bool]]]:
    """Every move made, in order, with whether it was struck."""
    found: dict[int, list[tuple[MoveMade, bool]]] = {pk: [] for pk in pks}
    rows = JournalEntry.objects.filter(showing__in=pks).select_related("by", "struck")
    for row in rows.order_by("pk"):
        made = MoveMade(
            uid=str(row.uid),
            move=row.move,
            from_stage=Stage(row.from_stage) if row.from_stage else None,
            to_stage=Stage(row.to_stage),
            at=row.at.astimezone(zone),
            by=row.by.full_name,
        )
        found[row.showing_id].append((made, hasattr(row, "struck")))
    return found


def _stage(showing: Showing, journals: dict[int, list[tuple[MoveMade, bool]]]) -> Stage | None:
    return Stage(showing.stage) if journals[showing.pk] else None


def _taken_down_at(journal: list[tuple[MoveMade, bool]]) -> datetime | None:
    made = [move.at for move, struck in journal if move.move == "take_down" and not struck]
    return made[-1] if made else None


def _exhibition(showing: Showing, today: date) -> ExhibitionFacts:
    row = showing.exhibition
    return ExhibitionFacts(
        uid=str(row.uid),
        code=row.short,
        title=row.title,
        install_from=row.install_from,
        opens=row.opens,
        closes=row.closes,
        deinstall_until=row.deinstall_until,
        manager=row.manager.full_name if row.manager else "",
        over=row.state == ExhibitionState.CLOSED or row.closes < today,
    )


def _withdrawals(pks: Sequence[int]) -> Iterable[Withdrawal]:
    return Withdrawal.objects.filter(showing__in=pks).select_related("substitute_object")


def _request(showing: Showing, alternatives: int, withdrawal: Withdrawal | None) -> RequestFacts:
    substitute = showing.substitute.museum_object.object_number if showing.substitute else ""
    if withdrawal is not None:
        other = withdrawal.substitute_object
        substitute = other.object_number if other else withdrawal.substitute_note
    return RequestFacts(
        reason=showing.reason,
        show_from=showing.show_from,
        show_to=showing.show_to,
        alternatives=alternatives,
        no_alternative_because=showing.no_alternative_because,
        duplicates_seen=showing.duplicates_seen,
        substitute=substitute,
        no_substitute_wanted=showing.no_substitute_wanted
        or (withdrawal is not None and withdrawal.substitute_kind == "none_wanted"),
    )


def _alternatives(pks: Sequence[int]) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    rows = Alternative.objects.filter(showing__in=pks).values_list("showing_id", flat=True)
    for showing_id in rows:
        found[showing_id] += 1
    return found


def _answer(row: RequestAnswer | None, zone: tzinfo) -> AnswerFacts | None:
    if row is None:
        return None
    return AnswerFacts(
        answer=Answer(row.answer),
        on=row.at.astimezone(zone).date(),
        grounds=bool(row.grounds),
        stored=bool(row.inputs) and row.because != "",
        override=row.override_reason,
        override_by_head=row.override_by_id is not None,
    )


def _assessments(pks: Sequence[int], zone: tzinfo) -> dict[int, AssessmentFacts]:
    rows = Assessment.objects.filter(showing__in=pks).exclude(digest="")
    return {
        row.showing_id: AssessmentFacts(
            fit=FitForDisplay(row.fit_for_display),
            signed=True,
            signed_on=row.signed_at.astimezone(zone).date() if row.signed_at else None,
            conditions=True,
            hours_of_treatment=row.treatment_hours is not None,
        )
        for row in rows.defer("signed_text").order_by("version")
    }


def _waivers(pks: Sequence[int]) -> dict[int, list[WaiverFacts]]:
    found: dict[int, list[WaiverFacts]] = defaultdict(list)
    rows = Waiver.objects.filter(showing__in=pks, ended_at=None).select_related("by")
    for row in rows.order_by("pk"):
        found[row.showing_id].append(
            WaiverFacts(
                code=row.code,
                about=row.about,
                by=row.by.full_name,
                role=Role(row.role),
                reason=row.reason,
                until=row.until,
            )
        )
    return found


def _next(
    coming: Showing | None,
    answers: dict[int, RequestAnswer],
    light: dict[int, ShowingLight],
    plans: dict[int, tuple[PlanFace, ...]],
) -> NextFacts | None:
    if coming is None:
        return None
    answer = answers.get(coming.pk)
    account = light.get(coming.pk, ShowingLight())
    lines = [account.of(face.face_id) for face in plans.get(coming.pk, ())]
    return NextFacts(
        showing_no=coming.request_no,
        exhibition=coming.exhibition.title,
        accepted=answer is not None and Answer(answer.answer) in YES_OF_A_KIND,
        account_open=bool(lines)
        and all(
            line is not None
            and not line.missing
            and line.left is not None
            and line.planned is not None
            and line.planned <= line.left
            for line in lines
        ),
        stage=Stage(coming.stage),
    )
