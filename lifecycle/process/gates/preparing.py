"""Gates of the preparations that run side by side until an object is ready."""

from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ReportKind

FRESH = frozenset(
    {
        ReportKind.BASELINE,
        ReportKind.INCOMING,
        ReportKind.AFTER_TREATMENT,
        ReportKind.BEFORE_INSTALL,
        ReportKind.DEINSTALL_AT_BENCH,
    }
)


def imaging_is_accepted(facts: ShowingFacts) -> Iterator[Blocker]:
    for job in facts.preparation.imaging:
        if not job.accepted:
            who = f" ({job.person})" if job.person else ""
            text = (
                f"{facts.object.number}: the pictures of {job.face} for {job.purpose} "
                f"({job.job_no}) are not accepted yet{who}. Deliver and accept them."
            )
            yield Blocker("imaging.open", text, Role.PHOTOGRAPHER, job.job_no)


def hidden_faces_have_facsimiles(facts: ShowingFacts) -> Iterator[Blocker]:
    """While one face of the plan is shown, each other one is hidden and stands in as facsimile."""
    for face in facts.faces if len(facts.faces) > 1 else ():
        facsimile = facts.preparation.facsimile_of(face.face_id)
        if facsimile is None:
            text = (
                f"{facts.object.number}, {face.label}, will be hidden at some time and has no "
                "facsimile: ask for one."
            )
            yield Blocker("facsimile.missing", text, Role.CONSERVATOR, face.label)
        elif not (facsimile.approved and facsimile.delivered):
            text = (
                f"Facsimile {facsimile.number} of {facts.object.number}, {face.label}, is not "
                "approved and delivered yet."
            )
            yield Blocker("facsimile.missing", text, Role.CURATOR, face.label)


def mount_fits_every_face(facts: ShowingFacts) -> Iterator[Blocker]:
    """Tried with the object as it is now: treatment may have changed its shape."""
    ended = [
        m.at for m in facts.journal if m.move == "finish_treatment" and m.to_stage is Stage.MOUNTING
    ]
    treated = max(ended, default=None)
    for face in facts.faces:
        tried = facts.preparation.tried_at(face.face_id)
        if not facts.preparation.mount_fits(face.face_id):
            text = (
                f"No mount was checked on {facts.object.number}, {face.label}, with the object "
                "present: have it made, then mount maker and conservator check the fit together."
            )
            asked = Role.MOUNT_MAKER if facts.preparation.mounts else Role.CONSERVATOR
            yield Blocker("mount.fit", text, asked, face.label)
        elif treated is not None and tried is not None and before(tried, treated):
            text = (
                f"The mount of {facts.object.number}, {face.label}, was tried on "
                f"{day_words(tried)}, before its treatment ended: try it with the object again."
            )
            yield Blocker("mount.fit", text, Role.MOUNT_MAKER, face.label)


def caption_is_approved(facts: ShowingFacts) -> Iterator[Blocker]:
    caption = facts.preparation.caption
    if not caption.approved:
        text = f"The caption of {facts.object.number} is not approved: approve its text."
        yield Blocker("caption.open", text, Role.CURATOR)
    elif not caption.facsimile_worded:
        text = f"The caption of {facts.object.number} does not say that a facsimile is shown."
        yield Blocker("caption.open", text, Role.CURATOR)


def place_is_planned(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.place:
        text = f"No position is planned for {facts.object.number}: name one."
        yield Blocker("place.planned", text, Role.REGISTRAR)


def companions_are_planned_with_it(facts: ShowingFacts) -> Iterator[Blocker]:
    """What belongs in one case is planned for one case, and not for a later day."""
    for companion in facts.object.companions:
        if companion.needed and companion.apart and not companion.may_stand_alone:
            text = (
                f"{companion.object_number} belongs with {facts.object.number} and "
                f"{companion.apart}: plan them together, or let the curator say in writing that "
                "it may stand alone."
            )
            yield Blocker("companion.apart", text, Role.CURATOR, companion.object_number)


def case_is_proven(facts: ShowingFacts) -> Iterator[Blocker]:
    case, where = facts.preparation.case, facts.place or "the case"
    if not (case.built and case.cleaned):
        text = (
            f"{where[:1].upper()}{where[1:]} is not built and cleaned for {facts.object.number}: "
            "finish it first."
        )
        yield Blocker("case.built", text, Role.EXHIBITION_MANAGER)
    if case.cure_until is not None and case.cure_until > facts.today:
        text = (
            f"Materials of {where} cure until {day_words(case.cure_until)}: "
            f"{facts.object.number} waits until then."
        )
        yield Blocker("case.curing", text, Role.EXHIBITION_MANAGER)
    if case.outside:
        text = (
            f"The air in {where} left its band during the climate proof: mend it and run it again "
            f"before {facts.object.number} enters."
        )
        yield Blocker("case.proof", text, Role.CONSERVATOR)
    elif not case.proof:
        text = (
            f"The climate proof of {where} is missing: run it before {facts.object.number} enters."
        )
        yield Blocker("case.proof", text, Role.CONSERVATOR)
    elif case.lamp_since:
        text = (
            f"{case.lamp_since[:1].upper()}{case.lamp_since[1:]}, after the climate proof of "
            f"{where} ended: run it again before {facts.object.number} enters."
        )
        yield Blocker("case.proof", text, Role.CONSERVATOR)
    elif case.buffer_open:
        text = f"In {where} {case.buffer_open}: do it before {facts.object.number} enters."
        yield Blocker("case.proof", text, Role.CONSERVATOR)


def ceilings_of(facts: ShowingFacts) -> tuple[Decimal | None, Decimal | None]:
    """Return the ceilings that bind here [lx], [µW/lm]: the lowest over the faces of the plan."""
    lines = [line for face in facts.faces if (line := facts.light.of(face.face_id)) is not None]
    lux = min((line.ceiling for line in lines if line.ceiling is not None), default=None)
    uv = min((line.uv_ceiling for line in lines if line.uv_ceiling is not None), default=None)
    return lux, uv


def light_is_under_the_ceiling(facts: ShowingFacts) -> Iterator[Blocker]:
    """Measured with a dummy, before the object enters. Without a ceiling nothing is proven."""
    proof, (lux, uv) = facts.preparation.light_proof, ceilings_of(facts)
    number = facts.object.number
    if proof is None and facts.preparation.light_changed:
        text = (
            f"The light for {number} was measured with a dummy and changed after that: "
            f"{facts.preparation.light_changed}. Measure it again."
        )
        yield Blocker("light.proof", text, Role.CONSERVATOR)
    elif proof is None and facts.preparation.light_missing:
        where = facts.preparation.light_missing
        text = (
            f"The light for {number} was not measured with a dummy at {where}: measure it at each "
            "reading point."
        )
        yield Blocker("light.proof", text, Role.CONSERVATOR)
    elif proof is None:
        text = f"The light for {number} was not measured with a dummy in its place: measure it."
        yield Blocker("light.proof", text, Role.CONSERVATOR)
    elif lux is None:
        if facts.faces:
            text = f"No lux ceiling is set for {number}: give it a class or sign its assessment."
            yield Blocker("light.no_ceiling", text, Role.CONSERVATOR)
    elif proof.lux > lux:
        text = (
            f"{proof.lux:f} lx were measured for {number} and {lux:f} lx is the ceiling: "
            "dim or re-aim the lamps and measure again."
        )
        yield Blocker("light.ceiling", text, Role.CONSERVATOR)
    elif uv is not None and proof.uv is None:
        text = f"The UV for {number} was not measured with a dummy in its place: measure it."
        yield Blocker("light.proof", text, Role.CONSERVATOR)
    elif uv is not None and proof.uv is not None and proof.uv > uv:
        text = (
            f"{proof.uv:f} µW/lm of UV were measured for {number} and {uv:f} µW/lm is the "
            "ceiling: filter the lamps and measure again."
        )
        yield Blocker("light.ceiling", text, Role.CONSERVATOR)


def route_is_walked(facts: ShowingFacts) -> Iterator[Blocker]:
    route, number = facts.preparation.route, facts.object.number
    if not (route.walked and route.people and route.equipment):
        text = f"The route of {number} is not settled: walk it, name people and equipment."
        yield Blocker("route.open", text, Role.REGISTRAR)
    elif not route.hazards_read:
        text = f"The hazards of {number} were not gone through for its route: read them."
        yield Blocker("route.hazards", text, Role.REGISTRAR)


def hazards_are_assessed(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.object.hazards_assessed:
        text = f"The hazards of {facts.object.number} are not assessed: record them, or none known."
        yield Blocker("hazards.open", text, Role.CONSERVATOR)


def condition_is_fresh(facts: ShowingFacts) -> Iterator[Blocker]:
    """A look no older than the months of the rules, and none older than the last move."""
    for face in facts.faces:
        looks = [
            report
            for report in facts.reports
            if report.signed and report.kind in FRESH and face.face_id in report.faces
        ]
        last = max(looks, key=lambda report: report.examined_at, default=None)
        number = facts.object.number
        if last is None or months_after(last.examined_on, facts.rules.fresh_look_months) < (
            facts.today
        ):
            text = (
                f"{number}, {face.label}, was not looked at within "
                f"{counted(facts.rules.fresh_look_months, 'month')}: make a report before install."
            )
            yield Blocker("look.fresh", text, Role.CONSERVATOR, face.label)
        elif facts.last_moved_at is not None and before(last.examined_at, facts.last_moved_at):
            text = (
                f"{number} was moved on {day_words(facts.last_moved_at)}, after the last look at "
                f"{face.label}: make a report before install."
            )
            yield Blocker("look.fresh", text, Role.CONSERVATOR, face.label)


def months_after(day: date, months: int) -> date:
    """Return the same day so many months on; the last day of a shorter month.

    >>> months_after(date(2025, 8, 31), 6)
    datetime.date(2026, 2, 28)
    """
    whole = day.year * 12 + day.month - 1 + months
    year, month = divmod(whole, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
