"""Display on the showing's page and on the object's: periods, checks, plans, how it ended."""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.queries.calendar import Day, days_of, with_all
from lifecycle.records.models import (
    Alternative,
    Assessment,
    DisplayPeriod,
    FaceWanted,
    Incident,
    InstallCheck,
    MuseumObject,
    PassOn,
    RequestAnswer,
    Requirement,
    Showing,
    TakeDown,
    TakeOver,
    TurnRecord,
    Withdrawal,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayOnShowing:
    """Everything the showing's page says about display. Lists are short by their nature."""

    faces: tuple[FaceWanted, ...]
    alternatives: tuple[Alternative, ...]
    answers: tuple[RequestAnswer, ...]
    assessments: tuple[Assessment, ...]
    requirements: tuple[Requirement, ...]
    periods: tuple[DisplayPeriod, ...]
    checks: tuple[InstallCheck, ...]
    turns: tuple[TurnRecord, ...]
    take_downs: tuple[TakeDown, ...]
    days: tuple[Day, ...]
    take_over: TakeOver | None
    withdrawal: Withdrawal | None
    passed_on: PassOn | None
    incidents: tuple[Incident, ...]

    @property
    def shown_now(self) -> DisplayPeriod | None:
        for period in self.periods:
            if period.closed_at is None and period.struck_at is None:
                return period
        return None


def on_showing(showing: Showing, at: datetime) -> DisplayOnShowing:
    """Return the display part of a showing's page, in a fixed number of queries."""
    periods = DisplayPeriod.objects.filter(showing=showing).select_related("face", "place")
    checks = InstallCheck.objects.filter(showing=showing).select_related(
        "face", "place", "person_1", "person_2", "picture"
    )
    turns = TurnRecord.objects.filter(showing=showing).select_related(
        "from_face", "to_face", "person_1", "person_2", "other_showing__museum_object"
    )
    downs = TakeDown.objects.filter(showing=showing).select_related(
        "taken_down_by", "second_person", "place"
    )
    return DisplayOnShowing(
        faces=tuple(
            FaceWanted.objects.filter(showing=showing, struck=False)
            .select_related("face__thumbnail")
            .order_by("order")
        ),
        alternatives=tuple(
            Alternative.objects.filter(showing=showing)
            .select_related("museum_object", "face")
            .order_by("order")
        ),
        answers=tuple(
            RequestAnswer.objects.filter(showing=showing)
            .select_related("by", "override_by")
            .order_by("-at", "-pk")
        ),
        assessments=tuple(
            Assessment.objects.filter(showing=showing)
            .select_related("sensitivity_class", "house_rules")
            .order_by("-version")
        ),
        requirements=tuple(
            Requirement.objects.filter(showing=showing).order_by("clause_ref", "pk")
        ),
        periods=tuple(periods.order_by("-opened_at", "-pk")),
        checks=tuple(checks.order_by("-begun_at", "-pk")),
        turns=tuple(turns.order_by("-started_at", "-pk")),
        take_downs=tuple(downs.order_by("-at", "-pk")),
        days=tuple(days_of(with_all(showing.appointments.all()).order_by("day", "pk"), at)),
        take_over=TakeOver.objects.filter(showing=showing)
        .select_related("face", "place", "registrar", "conservator")
        .first(),
        withdrawal=Withdrawal.objects.filter(showing=showing)
        .select_related("substitute_object", "back_at", "back_confirmed_by")
        .order_by("-pk")
        .first(),
        passed_on=PassOn.objects.filter(from_showing=showing)
        .select_related("to_showing__exhibition", "movement")
        .order_by("-pk")
        .first(),
        incidents=tuple(
            Incident.objects.filter(lines__museum_object=showing.museum_object_id)
            .select_related("kind")
            .order_by("-discovered_at", "-pk")[:20]
        ),
    )


def on_object(museum_object: MuseumObject, at: datetime) -> list[DisplayPeriod]:
    """Return when and where each face was on show, the latest first; at most 50."""
    return list(
        DisplayPeriod.objects.filter(museum_object=museum_object, struck_at=None)
        .select_related("face", "place", "showing__exhibition")
        .order_by("-opened_at", "-pk")[:50]
    )
