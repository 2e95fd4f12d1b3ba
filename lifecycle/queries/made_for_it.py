"""What the page of a showing says about everything made for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.process.facts.preparation import CaseFacts, LightProof, RouteFacts
from lifecycle.queries.preparation.facts import (
    faces_of,
    preparation_facts_of,
)
from lifecycle.queries.preparation.housing import Unit, units_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.worked_back import (
    Schedule,
    facsimile_needed,
    mount_needed,
    schedule_of,
)
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.preparation import (
    Caption,
    Facsimile,
    FacsimileState,
    Housing,
    ImagingJob,
    Mount,
)
from lifecycle.records.models.showings import Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class MountLine:
    """A mount, the faces it is made for, and those whose fit check both have signed."""

    mount: Mount
    faces: tuple[str, ...]
    fitting: tuple[str, ...]
    needed_by: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FacsimileLine:
    """A facsimile, and by when it is delivered."""

    row: Facsimile
    needed_by: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparationOnShowing:
    """Side by side: images, facsimiles, mounts, captions, case, light, route, housing."""

    faces: tuple[Face, ...]
    imaging: tuple[ImagingJob, ...]
    facsimiles: tuple[FacsimileLine, ...]
    mounts: tuple[MountLine, ...]
    captions: tuple[Caption, ...]
    case: CaseFacts
    light_proof: LightProof | None
    route: RouteFacts
    units: tuple[Unit, ...]

    @property
    def housed(self) -> int:
        return sum(unit.housed for unit in self.units)

    @property
    def facsimile_missing(self) -> tuple[Face, ...]:
        """Faces of the plan that will be hidden at some time and have no facsimile asked for."""
        rows = [line.row for line in self.facsimiles]
        have = {row.of_face_id for row in rows if row.state != FacsimileState.DESTROYED}
        return tuple(f for f in self.faces if f.pk not in have) if len(self.faces) > 1 else ()


def on_showing(showing: Showing, at: datetime) -> PreparationOnShowing:
    """Return everything made for one showing, in a fixed count of queries."""
    facts = preparation_facts_of([showing], clock_at(at))[showing.pk]
    uids = [line.uid for line in facts.facsimiles]
    fits = {mount.uid: mount.fits for mount in facts.mounts}
    mounts = Mount.objects.filter(showing=showing).select_related("kind", "with_whom")
    plan = schedule_of(showing, at)
    return PreparationOnShowing(
        faces=tuple(faces_of(showing)),
        imaging=tuple(
            ImagingJob.objects.filter(showing=showing, dropped_at=None)
            .select_related("face", "with_whom")
            .order_by("due_on", "pk")
        ),
        facsimiles=tuple(
            FacsimileLine(row=row, needed_by=facsimile_needed(row, plan).on)
            for row in Facsimile.objects.filter(uid__in=uids)
            .select_related("of_face", "with_whom")
            .order_by("facsimile_no")
        ),
        mounts=tuple(
            _mount_line(mount, fits.get(str(mount.uid), frozenset()), plan)
            for mount in mounts.prefetch_related("faces__face").order_by("mount_no")
        ),
        captions=tuple(
            Caption.objects.filter(showing=showing).select_related("face").order_by("pk")
        ),
        case=facts.case,
        light_proof=facts.light_proof,
        route=facts.route,
        units=tuple(units_of([showing.museum_object_id])[showing.museum_object_id]),
    )


def _mount_line(mount: Mount, fits: frozenset[int], plan: Schedule) -> MountLine:
    lines = [line for line in mount.faces.all() if not line.dropped]
    return MountLine(
        mount=mount,
        faces=tuple(line.face.label for line in lines),
        fitting=tuple(line.face.label for line in lines if line.face_id in fits),
        needed_by=mount_needed(mount, [line.face_id for line in lines], plan).on,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparationOnObject:
    """What was ever made for an object, newest first."""

    housings: Sequence[Housing]
    mounts: Sequence[Mount]
    facsimiles: Sequence[Facsimile]
    imaging: Sequence[ImagingJob]


def on_object(museum_object: MuseumObject, at: datetime) -> PreparationOnObject:
    """Return everything made for one object in all its showings; four queries."""
    return PreparationOnObject(
        housings=list(
            Housing.objects.filter(museum_object=museum_object)
            .select_related("kind", "component")
            .order_by("-pk")
        ),
        mounts=list(
            Mount.objects.filter(museum_object=museum_object).select_related("kind").order_by("-pk")
        ),
        facsimiles=list(
            Facsimile.objects.filter(of_face__museum_object=museum_object)
            .select_related("of_face")
            .order_by("-pk")
        ),
        imaging=list(
            ImagingJob.objects.filter(face__museum_object=museum_object)
            .select_related("face")
            .order_by("-pk")
        ),
    )
