"""Put an exhibition on record, change its facts, bring it from state to state."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.exhibitions.dates import Dates, date_reasons
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role
from lifecycle.process.words import ExhibitionState
from lifecycle.queries.changes import changes_of, in_words, stored_words, version_of
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.models import Exhibition, LitTimetable, Person, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class ExhibitionDetails:
    """What an exhibition is, beside its dates. Weekdays count from 0, Monday."""

    short: str
    title: str
    closed_weekdays: Sequence[int] = ()
    extra_closed_days: Sequence[date] = ()
    manager: Person | None = None
    curators: Sequence[Person] = ()
    places: Sequence[Place] = ()
    timetable: LitTimetable | None = None


S: Final = ExhibitionState
NEXT_STATES: Final = {
    S.PLANNED: (S.APPROVED,),
    S.APPROVED: (S.INSTALLING, S.PLANNED),
    S.INSTALLING: (S.OPEN, S.APPROVED),
    S.OPEN: (S.CLOSING, S.INSTALLING),
    S.CLOSING: (S.CLOSED, S.OPEN),
    S.CLOSED: (S.CLOSING,),
}


def allow_keeping(
    *, by: Person, role: Role, at: datetime, exhibition: Exhibition | None = None
) -> None:
    """Registrars and the head keep every exhibition, its exhibition manager their own."""
    if exhibition is not None and role is Role.EXHIBITION_MANAGER:
        allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about_exhibition(exhibition))
    else:
        allow(by=by, role=role, deed=Deed.REGISTER, at=at)


def _check(details: ExhibitionDetails, *, besides: int | None) -> list[Reason]:
    reasons = []
    short = details.short.strip()
    if not short:
        reasons.append(Reason("Give the exhibition a short code.", "short"))
    elif Exhibition.objects.filter(short__iexact=short).exclude(pk=besides or 0).exists():
        reasons.append(Reason(f"The code {short} belongs to another exhibition.", "short"))
    if not details.title.strip():
        reasons.append(Reason("Give the exhibition a title.", "title"))
    if len(set(details.closed_weekdays)) >= 7:
        reasons.append(
            Reason("An exhibition that is closed on all days is never seen.", "closed_weekdays")
        )
    return reasons


def _fill(exhibition: Exhibition, details: ExhibitionDetails) -> Exhibition:
    exhibition.short, exhibition.title = details.short.strip(), details.title.strip()
    exhibition.closed_weekdays = sorted(set(details.closed_weekdays))
    exhibition.extra_closed_days = sorted({day.isoformat() for day in details.extra_closed_days})
    exhibition.manager, exhibition.timetable = details.manager, details.timetable
    return exhibition


def _state_on(day: date, dates: Dates) -> ExhibitionState:
    """What an exhibition of these dates is on a day, for a museum that begins with it running."""
    if not dates.install_from <= day <= dates.deinstall_until:
        return S.PLANNED
    if day < dates.opens:
        return S.INSTALLING
    return S.OPEN if day <= dates.closes else S.CLOSING


@transaction.atomic
def add_exhibition(
    *, by: Person, role: Role, at: datetime, details: ExhibitionDetails, dates: Dates
) -> Exhibition:
    """Put an exhibition on record: as planned, or as it stands when it runs already."""
    allow_keeping(by=by, role=role, at=at)
    if reasons := _check(details, besides=None) + date_reasons(dates):
        raise Refused(reasons)
    made = _fill(Exhibition(state=_state_on(museum_day(at), dates)), details)
    for name in Dates.__dataclass_fields__:
        setattr(made, name, getattr(dates, name))
    made.keep(by=by, role=role, why="Exhibition put on record.", at=at)
    made.put_lists(curators=details.curators, places=details.places)
    return made.keep(by=by, role=role, why="Curators and places named.", at=at)


@transaction.atomic
def change_exhibition(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    details: ExhibitionDetails,
    version: int,
    why: str,
) -> Exhibition:
    """Change what an exhibition is; its dates move by ``move_dates`` alone.

    :raises Conflict: if somebody changed it since ``version`` was read
    """
    allow_keeping(by=by, role=role, at=at, exhibition=exhibition)
    stored = Exhibition.objects.select_for_update().get(pk=exhibition.pk)
    reasons = _check(details, besides=stored.pk)
    if not why.strip():
        reasons.append(Reason("Say why this changes; the reason stays with it.", "why"))
    if reasons:
        raise Refused(reasons)
    if version != version_of(stored):
        last = changes_of(stored, most=1)
        names = ("short", "title", "manager", "timetable")
        differing = [name for name in names if getattr(stored, name) != getattr(details, name)]
        raise Conflict(
            f"“{stored.title}” was changed while you were writing.",
            theirs={name: stored_words(stored, name) for name in differing},
            mine={name: in_words(getattr(details, name)) for name in differing},
            by=last[0].by if last and last[0].by else "somebody else",
            version=version_of(stored),
        )
    stored.put_lists(curators=details.curators, places=details.places)
    return _fill(stored, details).keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def set_state(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    state: ExhibitionState,
    why: str = "",
) -> Exhibition:
    """Bring the exhibition to its next state, or one back with a reason.

    It closes only when no showing of it is under way.
    """
    allow_keeping(by=by, role=role, at=at, exhibition=exhibition)
    stored = Exhibition.objects.select_for_update().get(pk=exhibition.pk)
    now = ExhibitionState(stored.state)
    reasons = []
    if state not in NEXT_STATES[now]:
        words = " or ".join(one.label for one in NEXT_STATES[now])
        reasons.append(
            Reason(f"“{stored.title}” is {now.label}; what follows is {words}.", "state")
        )
    elif state is not NEXT_STATES[now][0] and not why.strip():
        reasons.append(Reason("Say why it goes a step back.", "why"))
    if state is S.CLOSED:
        under_way = stored.showings.exclude(stage__in=sorted(CLOSED)).select_related(
            "museum_object"
        )
        numbers = [one.museum_object.object_number for one in under_way.order_by("pk")]
        if numbers:
            reasons.append(
                Reason(
                    f"{len(numbers)} of its objects are still under way: {', '.join(numbers[:8])}"
                    f"{' …' if len(numbers) > 8 else ''}. Bring them home first.",
                    "state",
                )
            )
    if reasons:
        raise Refused(reasons)
    stored.state = state
    return stored.keep(by=by, role=role, why=why or f"Now {state.label}.", at=at)
