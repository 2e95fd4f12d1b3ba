"""Rows → inputs of light accounts, for any number of faces in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from lifecycle.planning.exposure import Stay
from lifecycle.planning.ledger import ClassLimits, Entry, EntryKind, FaceInputs, Plan
from lifecycle.planning.moments import day_start, moment_of
from lifecycle.planning.quantities import LEVELS_PER_LX, Band, level_of, units_of
from lifecycle.process.stages import BEFORE_DISPLAY, Stage
from lifecycle.process.words import Answer
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.clauses import clauses_of, highest_allowed
from lifecycle.queries.light.places import PlaceBook
from lifecycle.records.models import (
    Appointment,
    Assessment,
    ClassRule,
    DisplayPeriod,
    Face,
    FaceWanted,
    HouseRules,
    LightEntry,
    LightProof,
    RequestAnswer,
    Showing,
)
from lifecycle.records.models.display.rotation import STILL_TO_COME, AppointmentKind
from lifecycle.records.models.loans import Parameter

UP = frozenset({Stage.ON_DISPLAY, Stage.ROTATION})
ACCEPTED = frozenset({Answer.YES, Answer.YES_WITH_CONDITIONS, Answer.AFTER_TREATMENT})
LEAVES_THE_FACE = (AppointmentKind.TURN, AppointmentKind.SWAP, AppointmentKind.DEINSTALL)


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the display assessment and the light proof of one showing set."""

    lux_ceiling: int | None = None
    uv_ceiling: int | None = None
    max_dose_lx_h: int | None = None
    max_weeks: int | None = None
    look_every_days: int | None = None
    reading_every_days: int | None = None
    signed: bool = False


class Gathered:
    """Everything about the light of some faces, read once. Ask it for inputs face by face."""

    def __init__(
        self, faces: Iterable[Face], at: datetime, *, showings: Sequence[Showing] = ()
    ) -> None:
        self.at = at
        self.zone: ZoneInfo = museum_zone()
        self.today: date = at.astimezone(self.zone).date()
        object_ids = {face.museum_object_id for face in faces}
        object_ids |= {showing.museum_object_id for showing in showings}
        self.faces = {
            face.pk: face
            for face in Face.objects.filter(museum_object__in=object_ids)
            .select_related("museum_object", "sensitivity_class")
            .order_by("museum_object", "order", "pk")
        }
        self.faces_of: dict[int, list[Face]] = defaultdict(list)
        for face in self.faces.values():
            self.faces_of[face.museum_object_id].append(face)
        self.rules = (
            HouseRules.objects.filter(valid_from__lte=self.today).order_by("-version").first()
        )
        self.limits = self._limits()
        self._read_showings(object_ids, showings)
        self._read_periods(object_ids)
        self._read_entries()
        self.book = PlaceBook(at)
        self.book.read_light(
            [row.place_id for rows in self.periods.values() for row in rows]
            + [showing.place_id for showing in self.showings.values()]
        )
        self._read_proofs()

    def _limits(self) -> dict[int, ClassRule]:
        if self.rules is None:
            return {}
        rows = ClassRule.objects.filter(house_rules=self.rules).select_related("sensitivity_class")
        return {row.sensitivity_class_id: row for row in rows}

    def _read_showings(self, object_ids: set[int], asked: Sequence[Showing]) -> None:
        stages = [stage.value for stage in (*BEFORE_DISPLAY, *UP)]
        rows = Showing.objects.filter(
            Q(museum_object__in=object_ids, stage__in=stages)
            | Q(pk__in=[showing.pk for showing in asked])
        )
        rows = rows.select_related("exhibition", "place").prefetch_related(
            "exhibition__places", "loan"
        )
        self.showings = {row.pk: row for row in rows.order_by("show_from", "pk")}
        pks = list(self.showings)
        self.clauses = clauses_of(list(self.showings.values()))
        self.wanted: dict[int, list[FaceWanted]] = defaultdict(list)
        for row in FaceWanted.objects.filter(showing__in=pks, struck=False).order_by("order", "pk"):
            self.wanted[row.showing_id].append(row)
        answers = RequestAnswer.objects.filter(showing__in=pks, at__lte=self.at).order_by("pk")
        self.answers: dict[int, str] = dict(answers.values_list("showing_id", "answer"))
        self.leaves: dict[int, list[date]] = defaultdict(list)
        days = Appointment.objects.filter(
            showing__in=pks, kind__in=LEAVES_THE_FACE, state__in=STILL_TO_COME
        )
        for showing_id, day in days.order_by("day").values_list("showing_id", "day"):
            self.leaves[showing_id].append(day)

    def _read_periods(self, object_ids: set[int]) -> None:
        rows = DisplayPeriod.objects.filter(
            museum_object__in=object_ids, struck_at=None, opened_at__lte=self.at
        ).select_related("showing__exhibition")
        self.periods: dict[int, list[DisplayPeriod]] = defaultdict(list)
        showing_ids = set(self.showings)
        for row in rows.order_by("opened_at", "pk"):
            self.periods[row.museum_object_id].append(row)
            showing_ids.add(row.showing_id)
        # The latest signed version wins; a draft stands only where nothing is signed yet.
        assessments = Assessment.objects.filter(showing__in=showing_ids)
        self.assessments = {
            row.showing_id: row
            for row in sorted(assessments, key=lambda row: (bool(row.digest), row.version))
        }

    def _read_entries(self) -> None:
        rows = LightEntry.objects.filter(face__in=self.faces, entered_at__lte=self.at)
        standing = Q(corrected_by=None) | Q(corrected_by__entered_at__gt=self.at)
        self.entries: dict[int, list[LightEntry]] = defaultdict(list)
        for row in rows.filter(standing).order_by("from_at", "pk"):
            self.entries[row.face_id].append(row)

    def _read_proofs(self) -> None:
        exhibitions = {showing.exhibition_id for showing in self.showings.values()}
        rows = LightProof.objects.filter(exhibition__in=exhibitions, entered_at__lte=self.at)
        self.proofs = {
            (row.exhibition_id, row.place_id): row for row in rows.order_by("observed_at", "pk")
        }

    # What the rows say about one face or showing

    def class_rule(self, face: Face) -> ClassRule | None:
        own = face.sensitivity_class_id or face.museum_object.sensitivity_class_id
        return None if own is None else self.limits.get(own)

    def class_limits(self, face: Face) -> ClassLimits | None:
        rule = self.class_rule(face)
        if rule is None or self.rules is None:
            return None
        return ClassLimits(
            version=self.rules.version,
            label=rule.sensitivity_class.label,
            max_lux=rule.max_lux,
            allowance_lx_h=rule.allowance_lx_h,
            window_years=rule.window_years,
            rest_months=rule.rest_months,
            max_weeks=rule.max_showing_weeks,
            max_uv=rule.max_uv,
            reading_every_days=rule.reading_every_days,
            charge_lab_light_above_percent=self.rules.charge_lab_light_above_percent,
            mean_between=self.rules.between_readings_mean,
            never_show=rule.never_show,
            source=rule.source,
        )

    def conditions(self, showing_id: int) -> Conditions:
        row = self.assessments.get(showing_id)
        if row is None:
            return Conditions()
        return Conditions(
            lux_ceiling=row.lux_ceiling,
            uv_ceiling=row.uv_ceiling,
            max_dose_lx_h=row.max_dose_lx_h,
            max_weeks=row.max_weeks,
            look_every_days=row.look_every_days,
            reading_every_days=row.reading_every_days,
            signed=bool(row.digest),
        )

    def ceilings(self, showing_id: int, face: Face) -> tuple[int | None, int | None]:
        """Return the ceilings that bind [lx], [µW/lm]: lowest of assessment, rule, clauses."""
        rule, conditions = self.class_rule(self.faces[face.pk]), self.conditions(showing_id)
        asked = self.clauses.get(showing_id, [])
        lux = (
            conditions.lux_ceiling,
            None if rule is None else rule.max_lux,
            highest_allowed(asked, Parameter.LUX),
        )
        uv = (
            conditions.uv_ceiling,
            None if rule is None else rule.max_uv,
            highest_allowed(asked, Parameter.UV),
        )
        return (
            min((value for value in lux if value is not None), default=None),
            min((value for value in uv if value is not None), default=None),
        )

    def ceilings_of(self, showing: Showing) -> tuple[int | None, int | None]:
        """Return the ceilings [lx], [µW/lm] of a showing: the lowest of its faces.

        While no face is chosen yet, each face of the object counts.
        """
        faces = [self.faces[row.face_id] for row in self.wanted[showing.pk]]
        both = [
            self.ceilings(showing.pk, face)
            for face in faces or self.faces_of[showing.museum_object_id]
        ]
        return (
            min((lux for lux, _ in both if lux is not None), default=None),
            min((uv for _, uv in both if uv is not None), default=None),
        )

    def is_accepted(self, showing: Showing) -> bool:
        """Whether a showing is promised: past selection, or answered with a yes."""
        if showing.stage != Stage.SELECTION:
            return showing.stage in BEFORE_DISPLAY or showing.stage in UP
        return self.answers.get(showing.pk) in ACCEPTED

    def planned_level(self, showing: Showing, face: Face) -> int | None:
        """Return the level planned for a face [half deci-lux]: measured, allowed, or the rule's."""
        for place_id in self.book.chain(showing.place_id):
            proof = self.proofs.get((showing.exhibition_id, place_id))
            if proof is not None:
                return level_of(proof.lux)
        ceiling = self.ceilings(showing.pk, face)[0]
        return None if ceiling is None else ceiling * LEVELS_PER_LX

    def exhibition_timetable(self, showing: Showing) -> int | None:
        """Return the timetable used where the place has none: the exhibition's, or its rooms'."""
        if showing.exhibition.timetable_id is not None:
            return showing.exhibition.timetable_id
        rooms = sorted(showing.exhibition.places.all(), key=lambda place: place.pk)
        return next((room.timetable_id for room in rooms if room.timetable_id is not None), None)

    def day_moment(self, day: date) -> datetime:
        """Return the first moment of a local day."""
        return moment_of(day_start(day, self.zone), self.zone)

    def shares_light(self, face: Face) -> bool:
        return face.museum_object.light_passes_through

    def shown_in(self, showing: Showing) -> list[DisplayPeriod]:
        """Return the displays of one showing, the earliest first."""
        rows = self.periods[showing.museum_object_id]
        return [row for row in rows if row.showing_id == showing.pk]

    def wanted_of(self, showing: Showing, face: Face) -> list[FaceWanted]:
        """Return the spans of the plan that charge this face."""
        rows = self.wanted[showing.pk]
        if self.shares_light(face):
            return rows
        return [row for row in rows if row.face_id == face.pk]

    def planned_end(self, period: DisplayPeriod) -> date:
        """Return the last day the face is meant to stay up."""
        showing = self.showings.get(period.showing_id)
        if showing is None:
            return self.today
        spans = [
            row.until_on
            for row in self.wanted[showing.pk]
            if row.face_id == period.face_id and row.until_on >= self.today
        ]
        end = min(spans, default=showing.show_to)
        coming = [day for day in self.leaves[showing.pk] if day >= self.today]
        return max(min([end, *coming]), self.today)

    # Inputs

    def plans(self, face: Face, *, leave_out: int | None = None) -> list[Plan]:
        """Return what accepted showings will charge this face, one by its primary key left out."""
        plans: list[Plan] = []
        for showing in self.showings.values():
            if showing.museum_object_id != face.museum_object_id or showing.pk == leave_out:
                continue
            if self.is_accepted(showing):
                plans += self.plans_in(showing, face)
        return plans

    def plans_in(self, showing: Showing, face: Face, *, lux: int | None = None) -> list[Plan]:
        """Return the plan of one showing for one face; what is up already is not planned again."""
        level = self.planned_level(showing, face) if lux is None else lux
        if level is None:
            return []
        shown = self.shown_in(showing)
        busy_until = max(
            (self.planned_end(row) for row in shown if row.closed_at is None), default=None
        )
        position = self.book.position(showing.place_id, self.exhibition_timetable(showing))
        plans = []
        for row in self.wanted_of(showing, face):
            if shown and row.face_id in {p.face_id for p in shown} and row.from_on <= self.today:
                continue
            first = row.from_on
            if busy_until is not None:
                first = max(first, busy_until + timedelta(1))
            if row.until_on < first:
                continue
            plans.append(
                Plan(
                    position=position,
                    since=self.day_moment(first),
                    until=self.day_moment(row.until_on + timedelta(1)),
                    level=level,
                    label=showing.exhibition.title,
                    ref=str(showing.uid),
                )
            )
        return plans

    def stays(self, face: Face) -> list[Stay]:
        """Return every display that charges this face."""
        stays = []
        for row in self.periods[face.museum_object_id]:
            if row.face_id != face.pk and not self.shares_light(face):
                continue
            exhibition = row.showing.exhibition
            ceiling = self.conditions(row.showing_id).lux_ceiling
            planned = None
            if row.closed_at is None:
                planned = self.day_moment(self.planned_end(row) + timedelta(1))
            for lamps in self.book.lamps(
                row.place_id, exhibition.timetable_id, row.opened_at, row.closed_at
            ):
                held = lamps.timetable_id
                table = None if held is None else self.book.timetables.get(held)
                stays.append(
                    Stay(
                        position=self.book.position_under(row.place_id, table),
                        since=lamps.since,
                        until=lamps.until,
                        planned_until=planned if lamps.until is None else None,
                        ceiling=None if ceiling is None else ceiling * LEVELS_PER_LX,
                        label=exhibition.title,
                        ref=str(row.showing.uid),
                    )
                )
        return stays

    def inputs(self, face: Face, *, leave_out: int | None = None) -> FaceInputs:
        """Return everything the account of one face rests on."""
        own = self.faces[face.pk]
        shared = self.faces_of[own.museum_object_id] if self.shares_light(own) else [own]
        return FaceInputs(
            face=f"{own.museum_object.object_number}, {own.label}",
            zone=self.zone.key,
            at=self.at,
            limits=self.class_limits(own),
            stays=tuple(self.stays(own)),
            entries=tuple(as_entry(row) for one in shared for row in self.entries[one.pk]),
            plans=tuple(self.plans(own, leave_out=leave_out)),
        )


def as_entry(row: LightEntry) -> Entry:
    return Entry(
        kind=EntryKind(row.kind),
        since=row.from_at,
        until=row.until_at,
        dose=Band(units_of(row.low_lx_h), units_of(row.likely_lx_h), units_of(row.high_lx_h)),
        label=f"{row.kind}, {row.source}",
        basis=row.basis,
        source=row.source,
        ref=str(row.uid),
    )
