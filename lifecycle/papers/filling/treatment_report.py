"""From a treatment report: the log in order, what covered each step, before and after."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal

from django.db.models import prefetch_related_objects

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    exhibition_words,
    figure,
    house,
    picture_words,
    report_words,
)
from lifecycle.papers.filling.treatment_proposal import decision_words
from lifecycle.papers.words.parts import DatedLine, FaceWords, SignatureWords
from lifecycle.papers.words.treatment_report import (
    AUTHOR,
    CO_AUTHOR,
    SECOND_READER,
    BeforeAfterWords,
    FeatureThenNow,
    MaterialWords,
    StepWords,
    TreatmentReportWords,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import FaceKind, FeatureState, LightKind, Severity, SignCapacity
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.queries.treatment.covering import standing_only
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models import MuseumObject, Observation
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.people import Person
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment import (
    PLAIN_WORDS,
    FacePictures,
    MaterialKind,
    Proposal,
    TreatmentReport,
    TreatmentStep,
)

UNSEEN = (FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN)


def treatment_report_words(report: TreatmentReport, at: datetime) -> TreatmentReportWords:
    """The words of the paper; a fixed number of queries, however long the log.

    A signed report tells the steps that were entered when it was signed.
    """
    of_house = house()
    proposal = whole_proposals(Proposal.objects.filter(pk=report.proposal_id)).get()
    report = next(one for one in proposal.reports.all() if one.pk == report.pk)
    thing = (
        MuseumObject.objects.select_related(*WITH_OBJECT)
        .prefetch_related("hazards")
        .get(pk=proposal.museum_object_id)
    )
    steps = [
        step
        for step in proposal.steps.all()
        if report.signed_at is None or step.entered_at <= report.signed_at
    ]
    prefetch_related_objects(steps, "cautions", "findings__observed_by")
    held = standing_only(steps)
    based_on, after = _reports(proposal, report)
    signed = signatures_of(report)
    return TreatmentReportWords(
        institution=of_house.name,
        about=block_o(
            thing,
            of_house=of_house,
            activity=CautionFor.CONDITION_PAPER,
            showing=proposal.showing,
            beside=ink_sentences([thing]),
        ),
        proposal_no=proposal.proposal_no,
        version=report.version,
        corrects=_corrects(report),
        signed=report.signed,
        signed_by=tuple(
            DatedLine(
                when=of_house.moment(one.at),
                what=f"{one.get_capacity_display()}{_on_sheet(one)}",
                who=f"{one.person.full_name}, {one.get_role_display()}",
            )
            for one in signed
        ),
        exhibition=exhibition_words(proposal.showing),
        consents=tuple(_consents(proposal, of_house)),
        based_on=report_words(based_on, of_house),
        after_check=report_words(after, of_house),
        features=tuple(_features(based_on, after)),
        summary=report.summary,
        steps=tuple(_steps(steps, of_house)),
        hours=figure(sum((step.hours for step in held), start=Decimal(0)), "h"),
        deviations=tuple(_deviations(held, of_house)),
        findings=tuple(
            DatedLine(
                when=of_house.moment(found.observed_at),
                what=f"F{found.feature.number} on {found.feature.face.label}: {found.what}",
                who=(
                    f"{found.observed_by.full_name}, picture in "
                    f"{LightKind(found.picture.light).label} light"
                ),
            )
            for step in steps
            for found in step.findings.all()
            if report.signed_at is None or found.entered_at <= report.signed_at
        ),
        removed=tuple(
            DatedLine(
                when=of_house.moment(step.observed_at),
                what=f"{step.removed}. Kept: {step.removed_where}",
                who=step.observed_by.full_name,
            )
            for step in held
            if step.removed
        ),
        removed_kept_where=report.removed_kept_where,
        materials=tuple(_materials(held)),
        take_off=report.take_off,
        not_done=report.not_done,
        remaining_risks=report.remaining_risks,
        advice_use=report.new_limits,
        advice_housing=report.housing_advice,
        call_back=day(report.callback_on),
        pairs=tuple(_pair(pair, of_house) for pair in report.pairs.all()),
        not_pictured=report.not_pictured,
        signatures=tuple(line for line, _, _ in _signatures(report, held)),
        still_to_sign=tuple(
            line
            for line, capacity, who in _signatures(report, held)
            if report.signed and not _has_signed(signed, capacity, who)
        ),
    )


def _reports(
    proposal: Proposal, report: TreatmentReport
) -> tuple[ConditionReport | None, ConditionReport | None]:
    """The report the treatment rests on and the check after it, with what each found; two reads."""
    sent = [version for version in proposal.versions.all() if version.signed]
    based_on = sent[-1].based_on_id if sent else None
    rows = {
        row.pk: row
        for row in ConditionReport.objects.filter(pk__in={based_on, report.after_check_id})
        .select_related("entered_by")
        .prefetch_related("examiners")
        .defer("signed_text")
    }
    return rows.get(based_on or 0), rows.get(report.after_check_id or 0)


def _corrects(report: TreatmentReport) -> str:
    if report.corrects_id is None:
        return ""
    return f"version {report.version - 1}: {report.correction_why}"


def _consents(proposal: Proposal, of_house: House) -> Iterator[DatedLine]:
    for version in proposal.versions.all():
        for one in version.consents.all():
            acting = f" for {one.for_person.full_name}" if one.for_person else ""
            yield DatedLine(
                when=of_house.moment(one.decided_at),
                what=f"v{version.version}: {decision_words(one)}",
                who=f"{one.spoken_by}{acting}, {one.community or one.get_role_display()}",
            )


def _features(
    before: ConditionReport | None, after: ConditionReport | None
) -> Iterator[FeatureThenNow]:
    """Every feature that either report speaks of, by number."""
    seen: dict[int, dict[int, Observation]] = {}
    ids = [one.pk for one in (before, after) if one is not None]
    rows = Observation.objects.filter(report__in=ids, taken_back=False)
    for row in rows.select_related("feature__face", "term").order_by("feature__number", "pk"):
        seen.setdefault(row.feature.number, {})[row.report_id] = row
    for number, by_report in seen.items():
        then = by_report.get(before.pk) if before else None
        now = by_report.get(after.pk) if after else None
        last = now or then
        if last is None:
            continue
        where = ", ".join(part for part in (last.feature.face.label, last.zone) if part)
        yield FeatureThenNow(
            name=f"F{number}",
            what=last.term.label,
            where=where,
            before=_look(then, first=True),
            after=_look(now, first=False),
        )


def _look(row: Observation | None, *, first: bool) -> str:
    """How a report found a feature: its state, how grave, and what was noted."""
    if row is None:
        return "not in this report"
    state = FeatureState(row.state)
    if state in UNSEEN:
        return state.label
    severity = "" if row.severity is None else Severity(row.severity).name.lower()
    told = [
        "" if first and state is not FeatureState.GONE else state.label,
        f"severity {row.severity} {severity}" if severity else "",
    ]
    parts = [", ".join(part for part in told if part), row.note]
    return ". ".join(part for part in parts if part) or state.label


def _steps(steps: Sequence[TreatmentStep], of_house: House) -> Iterator[StepWords]:
    numbers = {step.pk: number for number, step in enumerate(steps, start=1)}
    again = {step.corrects_id: numbers[step.pk] for step in steps if step.corrects_id}
    for number, step in enumerate(steps, start=1):
        corrects = ""
        if step.corrects_id:
            corrects = f" (puts line {numbers[step.corrects_id]} right)"
        if step.pk in again:
            corrects += f" (struck: line {again[step.pk]} stands for it)"
        yield StepWords(
            number=number,
            when=of_house.moment(step.observed_at),
            who=step.observed_by.full_name,
            what=f"{step.step.label}{corrects}",
            where=_where(step),
            with_what=_with_what(step),
            result="\n".join(_results(step, of_house)),
            under=_under(step),
        )


def _where(step: TreatmentStep) -> str:
    feature = f"F{step.feature.number}" if step.feature else ""
    face = step.face.label if step.face else "the whole object"
    return ", ".join(part for part in (face, feature, step.area) if part)


def _with_what(step: TreatmentStep) -> str:
    parts = [
        str(step.material) if step.material else "",
        figure(step.concentration, "%"),
        step.amount,
        figure(step.minutes, "min"),
        figure(step.temperature_c, "°C"),
    ]
    return ", ".join(part for part in parts if part)


def _results(step: TreatmentStep, of_house: House) -> Iterator[str]:
    yield step.result
    if step.deviation:
        said = _decided(step, of_house)
        yield f"Deviation: {step.deviation_why} {said[:1].upper()}{said[1:]}."
    test = getattr(step, "medium_test", None)
    if test is not None:
        yield f"Spot test, {test.medium}, {test.get_liquid_display()}: {test.get_outcome_display()}"
    if step.emergency:
        yield f"Emergency: {step.emergency_reason}"
    cautions = list(step.cautions.all())
    if step.caution_reason and not cautions:
        yield f"Gone on in spite of a caution: {step.caution_reason}"
    by_reason: dict[str, list[str]] = {}
    for caution in cautions:
        about = f"{caution.get_trait_display()} and {caution.get_brings_display()}"
        by_reason.setdefault(caution.why or "no reason was asked for", []).append(about)
    for why, about_these in by_reason.items():
        several = "Cautions" if len(about_these) > 1 else "Caution"
        yield f"{several} ({'; '.join(about_these)}); gone on: {why}"


def _under(step: TreatmentStep) -> str:
    if step.emergency:
        return "emergency"
    if step.version is not None:
        return f"v{step.version.version}"
    return step.standing.standing_no if step.standing else ""


def _deviations(steps: Sequence[TreatmentStep], of_house: House) -> Iterator[DatedLine]:
    for step in steps:
        if not step.deviation:
            continue
        yield DatedLine(
            when=of_house.moment(step.observed_at),
            what=f"{step.step.label}: {step.deviation_why}",
            who=_decided(step, of_house),
        )


def _decided(step: TreatmentStep, of_house: House) -> str:
    """What was decided on a deviation, by whom and when."""
    said = [
        f"{one.get_decision_display()} ({one.spoken_by}, "
        f"{of_house.moment(one.decided_at)}){f': {one.limits}' if one.limits else ''}"
        for one in step.decisions.all()
    ]
    return "; ".join(said) or "not decided yet"


def _materials(steps: Sequence[TreatmentStep]) -> Iterator[MaterialWords]:
    """Each batch once, in the order of first use, with every strength it was used in."""
    used: dict[int, list[TreatmentStep]] = {}
    for step in steps:
        if step.material_id is not None:
            used.setdefault(step.material_id, []).append(step)
    for rows in used.values():
        material = rows[0].material
        if material is None:
            continue
        kind = MaterialKind(material.kind)
        strengths = [figure(row.concentration, "%") for row in rows if row.concentration]
        labels = [row.step.label for row in rows]
        how = ", ".join(dict.fromkeys([*labels, *strengths]))
        maker = f" ({material.maker})" if material.maker else ""
        yield MaterialWords(
            name=f"{material}{maker}",
            used=how,
            plain=material.plain_words or f"{kind.label.capitalize()}. {PLAIN_WORDS[kind]}",
        )


def _pair(pair: FacePictures, of_house: House) -> BeforeAfterWords:
    def side(which: str) -> FaceWords:
        return FaceWords(
            label=pair.face.label,
            kind=FaceKind(pair.face.kind).label,
            landmark=pair.face.landmark,
            picture=picture_words(getattr(pair, which)),
        )

    light = LightKind(pair.before.light).label if pair.before.light else "light not stated"
    return BeforeAfterWords(
        light=f"{light} light" if pair.before.light else light,
        before=side("before"),
        before_at=of_house.moment(pair.before.taken_at) or "time not known",
        after=side("after"),
        after_at=of_house.moment(pair.after.taken_at) or "time not known",
    )


def _on_sheet(signature: Signature) -> str:
    """Where the hand itself is to be seen, when somebody signed on paper."""
    return f", on paper ({signature.note})" if signature.scan_id and signature.note else ""


def _signatures(
    report: TreatmentReport, steps: Sequence[TreatmentStep]
) -> Iterator[tuple[SignatureWords, SignCapacity, int | None]]:
    """A line for the author, for each other who treated, and for the second reader."""

    def line(capacity: str, person: Person | None) -> SignatureWords:
        name = person.full_name if person else ""
        return SignatureWords(capacity=capacity, name=name, role="conservator")

    yield line(AUTHOR, report.author), SignCapacity.AUTHOR, report.author_id
    others = {step.observed_by_id: step.observed_by for step in steps}
    others.pop(report.author_id, None)
    for person in sorted(others.values(), key=lambda one: (one.full_name, one.pk)):
        yield line(CO_AUTHOR, person), SignCapacity.CO_AUTHOR, person.pk
    if report.second_reader_asked or report.second_reader is not None:
        reader = report.second_reader
        yield line(SECOND_READER, reader), SignCapacity.SECOND_READER, report.second_reader_id


def _has_signed(signed: Sequence[Signature], capacity: SignCapacity, who: int | None) -> bool:
    return any(one.capacity == capacity and (who is None or one.person_id == who) for one in signed)
