"""Preparations as the gates see them, for one showing or a whole exhibition in a fixed count."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from django.db.models import Q

from lifecycle.process.case_state import CaseState, buffer_open, cures_until, lamp_since_run
from lifecycle.process.facts.preparation import (
    CaptionFacts,
    CaseFacts,
    FacsimileFacts,
    ImagingFacts,
    MountFacts,
    PreparationFacts,
    RouteFacts,
)
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.queries.preparation.cases import case_state, warmed_in
from lifecycle.queries.preparation.housing import housing_facts, units_of
from lifecycle.queries.preparation.light_proofs import measured_with_a_dummy
from lifecycle.queries.treatment.consenting import Clock
from lifecycle.records.models import preparation as made
from lifecycle.records.models.objects import Face
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import FacsimileState
from lifecycle.records.models.showings import FaceWanted, Showing
from lifecycle.records.models.signing import Signature

FIT_CHECK = "fit-check"
APPROVED = frozenset(
    {
        FacsimileState.APPROVED,
        FacsimileState.DELIVERED,
        FacsimileState.PLACED,
        FacsimileState.TAKEN_OUT,
        FacsimileState.KEPT,
    }
)
DELIVERED = APPROVED - {FacsimileState.APPROVED}
STANDS_FOR_A_FACE = frozenset(
    {made.FacsimileUse.SHOWS_OTHER_FACE.value, made.FacsimileUse.STANDS_IN.value}
)


def preparation_facts_of(showings: Sequence[Showing], clock: Clock) -> dict[int, PreparationFacts]:
    """Return everything made for these showings; the count of queries does not grow with them."""
    pks = [showing.pk for showing in showings]
    imaging = _imaging(pks)
    facsimiles = _facsimiles(showings)
    mounts = _mounts(showings)
    captions = _captions(pks, facsimiles)
    chains = place_chains(showings)
    cases = _cases(showings, chains, clock)
    measured = measured_with_a_dummy(showings, chains, clock)
    routes = _routes(showings)
    units = units_of([showing.museum_object_id for showing in showings])
    return {
        showing.pk: PreparationFacts(
            imaging=tuple(imaging[showing.pk]),
            facsimiles=tuple(_facsimile_facts(f) for f in facsimiles[showing.pk]),
            mounts=tuple(mounts[showing.pk]),
            caption=captions[showing.pk],
            case=cases[showing.pk],
            light_proof=measured[showing.pk].proof,
            light_missing=measured[showing.pk].missing,
            light_changed=measured[showing.pk].changed,
            route=routes[showing.pk],
            housing=housing_facts(units.get(showing.museum_object_id, [])),
        )
        for showing in showings
    }


def _imaging(pks: Sequence[int]) -> dict[int, list[ImagingFacts]]:
    found: dict[int, list[ImagingFacts]] = defaultdict(list)
    jobs = made.ImagingJob.objects.filter(showing__in=pks, dropped_at=None)
    for job in jobs.select_related("face", "with_whom").order_by("due_on", "pk"):
        found[job.showing_id or 0].append(
            ImagingFacts(
                uid=str(job.uid),
                job_no=job.job_no,
                face=job.face.label,
                purpose=made.ImagingPurpose(job.purpose).label,
                accepted=job.accepted_at is not None,
                due_on=job.due_on,
                person=job.with_whom.full_name if job.with_whom else "",
                person_id=job.with_whom_id,
                for_whom_id=job.for_whom_id or job.asked_by_id,
            )
        )
    return found


def _facsimiles(showings: Sequence[Showing]) -> dict[int, list[made.Facsimile]]:
    """Facsimiles asked for this showing, and those kept from an earlier one."""
    found: dict[int, list[made.Facsimile]] = {showing.pk: [] for showing in showings}
    objects = {showing.museum_object_id for showing in showings}
    rows = (
        made.Facsimile.objects.filter(of_face__museum_object__in=objects)
        .filter(Q(showing__in=list(found)) | Q(state=FacsimileState.KEPT))
        .exclude(state=FacsimileState.DESTROYED)
        .select_related("of_face", "with_whom")
        .order_by("facsimile_no")
    )
    for row in rows:
        for showing in showings:
            kept = row.state == FacsimileState.KEPT
            same_object = row.of_face.museum_object_id == showing.museum_object_id
            if row.showing_id == showing.pk or (kept and same_object):
                found[showing.pk].append(row)
    return found


def _facsimile_facts(row: made.Facsimile) -> FacsimileFacts:
    state = FacsimileState(row.state)
    return FacsimileFacts(
        uid=str(row.uid),
        face_id=row.of_face_id,
        number=row.facsimile_no,
        approved=state in APPROVED,
        delivered=state in DELIVERED,
        placed=state is FacsimileState.PLACED,
        needed_by=row.needed_by,
        person=row.with_whom.full_name if row.with_whom else "",
        person_id=row.with_whom_id,
    )


def signed_by_both(checks: Iterable[made.FitCheck]) -> frozenset[str]:
    """Return the uids of fit checks that mount maker and conservator have both signed."""
    wanted = {check.uid: check for check in checks}
    roles: dict[str, set[str]] = defaultdict(set)
    rows = Signature.objects.filter(record_kind=FIT_CHECK, record_uid__in=list(wanted))
    for uid, role, person in rows.values_list("record_uid", "role", "person"):
        check = wanted[uid]
        named = {Role.MOUNT_MAKER: check.mount_maker_id, Role.CONSERVATOR: check.conservator_id}
        if named.get(Role(role)) == person:
            roles[str(uid)].add(role)
    both = {Role.MOUNT_MAKER.value, Role.CONSERVATOR.value}
    return frozenset(uid for uid, signed in roles.items() if signed == both)


def _mounts(showings: Sequence[Showing]) -> dict[int, list[MountFacts]]:
    found: dict[int, list[MountFacts]] = defaultdict(list)
    asked = {showing.pk: showing.asked_at for showing in showings}
    mounts = made.Mount.objects.filter(showing__in=asked, retired_at=None)
    mounts = mounts.select_related("with_whom")
    rows = list(mounts.prefetch_related("fit_checks", "faces").order_by("mount_no"))
    signed = signed_by_both(check for mount in rows for check in mount.fit_checks.all())
    for mount in rows:
        latest: dict[int, made.FitCheck] = {}
        for check in sorted(mount.fit_checks.all(), key=lambda c: (c.checked_at, c.pk)):
            # A check made before this showing was asked for proved another plan.
            if not before(check.checked_at, asked[mount.showing_id or 0]):
                latest[check.face_id] = check
        carried = {line.face_id for line in mount.faces.all() if not line.dropped}
        fits = frozenset(
            face
            for face, check in latest.items()
            if face in carried and str(check.uid) in signed and check.result in made.FITTING
        )
        found[mount.showing_id or 0].append(
            MountFacts(
                uid=str(mount.uid),
                number=mount.mount_no,
                fits=fits,
                faces=frozenset(carried),
                tried=tuple((face, latest[face].checked_at) for face in sorted(fits)),
                needed_by=mount.needed_by,
                person=mount.with_whom.full_name if mount.with_whom else "",
            )
        )
    return found


def _captions(
    pks: Sequence[int], facsimiles: dict[int, list[made.Facsimile]]
) -> dict[int, CaptionFacts]:
    faces: dict[int, set[int]] = {pk: set() for pk in pks}
    wanted = FaceWanted.objects.filter(showing__in=pks, struck=False)
    for showing_id, face_id in wanted.values_list("showing", "face"):
        faces[showing_id].add(face_id)
    captions: dict[int, list[made.Caption]] = defaultdict(list)
    rows = made.Caption.objects.filter(showing__in=pks).select_related("with_whom")
    for caption in rows.order_by("pk"):
        captions[caption.showing_id].append(caption)
    return {pk: caption_facts(captions[pk], faces[pk], facsimiles.get(pk, [])) for pk in pks}


def caption_facts(
    captions: Sequence[made.Caption], faces: set[int], facsimiles: Sequence[made.Facsimile]
) -> CaptionFacts:
    """Every face of the plan needs an approved caption, its own or one for all faces.

    Where a facsimile stands for a face, each caption in use has words that say so.
    """
    approved = {c.face_id for c in captions if c.approved_at is not None}
    covered = None in approved or (bool(faces) and faces <= approved)
    shown = any(f.use in STANDS_FOR_A_FACE for f in facsimiles)
    worded = not shown or (
        bool(captions) and all(c.facsimile_wording for c in captions if c.approved_at is not None)
    )
    waiting = [c.with_whom.full_name for c in captions if c.approved_at is None and c.with_whom]
    person = " and ".join(dict.fromkeys(waiting))
    return CaptionFacts(approved=covered, facsimile_worded=worded, person=person)


def place_chains(showings: Sequence[Showing]) -> dict[int, list[Place]]:
    """Return, per showing, its planned position and the two places around it, nearest first."""
    ids = {showing.place_id for showing in showings if showing.place_id}
    places = {
        place.pk: place
        for place in Place.objects.filter(pk__in=ids).select_related("parent__parent")
    }
    chains = {}
    for showing in showings:
        here = places.get(showing.place_id or 0)
        chain: list[Place] = []
        while here is not None and len(chain) < 3:
            chain.append(here)
            here = here.parent if len(chain) < 3 else None
        chains[showing.pk] = chain
    return chains


def _cases(
    showings: Sequence[Showing], chains: dict[int, list[Place]], clock: Clock
) -> dict[int, CaseFacts]:
    exhibitions = {showing.exhibition_id for showing in showings}
    rows = {
        (row.exhibition_id, row.place_id): row
        for row in made.CaseReadiness.objects.filter(exhibition__in=exhibitions).select_related(
            "layout"
        )
    }
    warmed = warmed_in([place_id for _, place_id in rows])
    today, found = clock.today, {}
    for showing in showings:
        near = (rows.get((showing.exhibition_id, place.pk)) for place in chains[showing.pk])
        case = next((row for row in near if row is not None), None)
        state = None if case is None else case_state(case, clock, warmed.get(case.place_id))
        found[showing.pk] = CaseFacts() if state is None else case_facts(state, today)
    return found


def case_facts(case: CaseState, today: date) -> CaseFacts:
    proof = case.run_ended_at is not None and bool(case.run_result) and not case.run_outside
    return CaseFacts(
        built=case.built_on is not None,
        cleaned=case.cleaned_on is not None,
        cure_until=cures_until(case),
        proof=proof,
        outside=case.run_outside,
        lamp_since=lamp_since_run(case),
        buffer_open=buffer_open(case, today),
    )


def _routes(showings: Sequence[Showing]) -> dict[int, RouteFacts]:
    latest: dict[int, made.RouteCheck] = {}
    rows = made.RouteCheck.objects.filter(showing__in=[s.pk for s in showings])
    for row in rows.order_by("observed_at", "pk"):
        latest[row.showing_id] = row
    found = {}
    for showing in showings:
        walked = latest.get(showing.pk)
        # A walk to another position proves nothing about the way to the planned one.
        if walked is None or walked.to_place_id != showing.place_id:
            found[showing.pk] = RouteFacts()
            continue
        found[showing.pk] = RouteFacts(
            walked=True,
            hazards_read=walked.hazards_read,
            people=walked.people,
            equipment=bool(walked.equipment),
        )
    return found


def faces_of(showing: Showing) -> list[Face]:
    """The faces of the plan in the order of showing; all faces while none is named."""
    wanted = (
        FaceWanted.objects.filter(showing=showing, struck=False)
        .select_related("face")
        .order_by("order", "pk")
    )
    planned = list(dict.fromkeys(row.face for row in wanted))
    return planned or list(
        Face.objects.filter(museum_object=showing.museum_object_id).order_by("order", "pk")
    )
