"""From a condition report: a draft gives a form to fill, a signed one its own words as well."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    exhibition_words,
    figure,
    house,
    report_words,
)
from lifecycle.papers.filling.features import blank_from, face_page, last_looks, merged
from lifecycle.papers.words.condition_report import ConditionReportWords, GradeWords
from lifecycle.papers.words.parts import (
    DatedLine,
    FacePage,
    FaceWords,
    ReportWords,
    SignatureWords,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.ink import InkLevel, InkMethod
from lifecycle.process.words import (
    CompareResult,
    Fit,
    Grade,
    LightKind,
    ReportKind,
    SeenAs,
    Stability,
)
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.queries.condition.known import known_features, last_signed, next_feature_number
from lifecycle.queries.condition.sheet import last_pictures
from lifecycle.queries.signed_text.condition import light_in_words
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.records.models import (
    AsFound,
    Assessment,
    BenchCheck,
    ConditionReport,
    MuseumObject,
    Observation,
    ReportFace,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition.words import SectionName
from lifecycle.records.models.objects import MeasuredState

#: The capacity of whoever looked; their lines come first.
EXAMINED_BY = "Examined by"


def condition_report_words(
    report: ConditionReport, at: datetime, *, to_sign: str = ""
) -> ConditionReportWords:
    """The words of the paper; a fixed number of queries, however many features and faces.

    :param to_sign: digest of the text that is signed; then a draft is printed as it stands
    """
    of_house = house()
    report = _with_everything(report)
    museum_object = report.museum_object
    covered = [row for row in report.report_faces.all() if not row.dropped]
    covered.sort(key=lambda row: (row.face.order, row.face_id))
    settled = report.signed or bool(to_sign)
    faces = _faces(report, museum_object, covered, of_house, settled=settled)
    first = _face_of_block(faces)
    assessment = _assessment(report)
    return ConditionReportWords(
        institution=of_house.name,
        about=block_o(
            museum_object,
            of_house=of_house,
            activity=CautionFor.CONDITION_PAPER,
            showing=report.showing,
            face=first,
            beside=ink_sentences([museum_object]),
        ),
        report_no=report.report_no,
        kind=ReportKind(report.kind).label,
        signed=report.signed,
        signed_by=tuple(_signed_by(report, of_house)),
        reason=report.reason.label,
        exhibition=exhibition_words(report.showing),
        materials=", ".join(sorted(word.label for word in museum_object.materials.all())),
        techniques=", ".join(sorted(word.label for word in museum_object.techniques.all())),
        sizes=tuple(_sizes(museum_object)),
        weight=_weight(museum_object),
        components=tuple(
            row.label for row in sorted(museum_object.components.all(), key=lambda row: row.pk)
        ),
        compared_with=_compared_with(report, of_house),
        light_allowed=_light(assessment),
        climate_allowed=_climate(assessment),
        written_so_far=(
            *(_where_and_how(report) if settled else ()),
            *_written(report, of_house),
            *(_after_display(report, of_house) if settled else ()),
        ),
        seen_as=tuple(one.label for one in SeenAs),
        lights=tuple(one.label for one in LightKind if one is not LightKind.OTHER),
        not_seen=tuple(
            Word.objects.filter(vocabulary=Vocabulary.NOT_SEEN, retired_on=None)
            .order_by("label", "pk")
            .values_list("label", flat=True)
        ),
        grades=tuple(GradeWords(grade=grade.label, meaning=grade.means) for grade in Grade),
        stabilities=tuple(one.label for one in Stability),
        fits=tuple(one.label for one in Fit),
        faces=faces,
        signatures=tuple(_signatures(report)),
        to_sign=to_sign,
    )


def _with_everything(report: ConditionReport) -> ConditionReport:
    return (
        ConditionReport.objects.select_related(
            "reason",
            "where",
            "entered_by",
            "showing__exhibition",
            "compared_with__entered_by",
            "corrects",
            *(f"museum_object__{name}" for name in WITH_OBJECT),
        )
        .prefetch_related(
            "examiners",
            "compared_with__examiners",
            "museum_object__hazards",
            "museum_object__materials",
            "museum_object__techniques",
            "museum_object__measures",
            "museum_object__components",
            "report_faces__face__thumbnail",
            "report_faces__picture",
            "lights_used__picture",
            "not_seen__what",
            "recommendations",
            "sections",
            "ink_ratings__face",
        )
        .get(pk=report.pk)
    )


def _faces(
    report: ConditionReport,
    museum_object: MuseumObject,
    covered: list[ReportFace],
    of_house: House,
    *,
    settled: bool,
) -> tuple[FacePage, ...]:
    own = list(
        Observation.objects.filter(report=report, taken_back=False).select_related(
            "feature__face", "term", "report"
        )
    )
    known = known_features(museum_object, faces=[row.face for row in covered])
    rows = own if settled else merged(known, own)
    looks = last_looks(museum_object)
    following = next_feature_number(museum_object)
    bare = [row.face for row in covered if row.picture is None]
    lent = {} if settled or not bare else last_pictures(bare)
    return tuple(
        face_page(
            row.face,
            rows,
            next_number=blank_from(following, number),
            of_house=of_house,
            picture=row.picture or lent.get(row.face_id),
            looks=looks,
            signed_at=report.signed_at,
        )
        for number, row in enumerate(covered)
    )


def _face_of_block(faces: tuple[FacePage, ...]) -> FaceWords | None:
    """The face that block O shows: the only one, or the first with the names of all."""
    if len(faces) <= 1:
        return faces[0].face if faces else None
    return replace(faces[0].face, label=", ".join(page.face.label for page in faces))


def _signed_by(report: ConditionReport, of_house: House) -> Iterator[DatedLine]:
    """Who signed this version, in which capacity and role, and how."""
    if not report.signed:
        return
    for one in signatures_of(report):
        what = f"{one.get_capacity_display()}, as {one.get_role_display()}"
        yield DatedLine(
            when=of_house.moment(one.at),
            what=f"{what}; {one.get_method_display()}",
            who=one.person.full_name,
        )


def _sizes(museum_object: MuseumObject) -> Iterator[str]:
    order = {state.value: place for place, state in enumerate(MeasuredState)}
    for row in sorted(museum_object.measures.all(), key=lambda row: order[row.state]):
        sides = [figure(side) for side in (row.height_mm, row.width_mm, row.depth_mm) if side]
        yield f"{MeasuredState(row.state).label} {' × '.join(sides)} mm"


def _weight(museum_object: MuseumObject) -> str:
    grams = museum_object.weight_g
    if grams is None:
        return "not weighed"
    return f"{grams / 1000:g} kg" if grams >= 1000 else f"{grams} g"


def _compared_with(report: ConditionReport, of_house: House) -> ReportWords | None:
    """The report named for comparison; for a draft that names none, the last signed one."""
    if report.compared_with is not None or report.none_known or report.signed:
        return report_words(report.compared_with, of_house)
    earlier = last_signed(report.museum_object)
    return report_words(earlier, of_house)


def _assessment(report: ConditionReport) -> Assessment | None:
    if report.showing is None:
        return None
    signed = Assessment.objects.filter(showing=report.showing).exclude(digest="")
    return signed.order_by("-version").first()


def _light(assessment: Assessment | None) -> str:
    if assessment is None:
        return "not yet set by an assessment"
    return f"{assessment.lux_ceiling} lx, UV {assessment.uv_ceiling} µW/lm"


def _climate(assessment: Assessment | None) -> str:
    if assessment is None:
        return "not yet set by an assessment"
    parts = []
    if assessment.t_min_c is not None and assessment.t_max_c is not None:
        parts.append(f"{figure(assessment.t_min_c)} to {figure(assessment.t_max_c)} °C")
    if assessment.rh_min is not None and assessment.rh_max is not None:
        parts.append(f"{figure(assessment.rh_min)} to {figure(assessment.rh_max)} % RH")
    if assessment.rh_change_24h is not None:
        parts.append(f"at most {figure(assessment.rh_change_24h)} % RH change in 24 h")
    if assessment.rh_change_1h is not None:
        parts.append(f"{figure(assessment.rh_change_1h)} % in 1 h")
    return ", ".join(parts) or "no band set"


def _where_and_how(report: ConditionReport) -> Iterator[tuple[str, str]]:
    """What stands in the head of a report that is no form any more."""
    if report.corrects is not None:
        yield "Corrects", f"version {report.corrects.version}: {report.correction_note}"
    if report.where is not None:
        yield "Where", report.where.name
    if report.components_complete is not None:
        complete = "complete" if report.components_complete else "not complete"
        note = f": {report.components_note}" if report.components_note else ""
        yield "Components counted", f"{complete}{note}"


def _after_display(report: ConditionReport, of_house: House) -> Iterator[tuple[str, str]]:
    """Part A and part B; other reports have neither and are not asked."""
    if report.kind == ReportKind.DEINSTALL_AT_CASE:
        for found in AsFound.objects.filter(report=report):
            late = "written after the object was out, in an emergency" if found.emergency else ""
            how = (found.get_as_placed_display(), found.as_placed_note, late)
            yield "As found", "; ".join(str(part) for part in how if part)
            traps = "" if found.insects is None else f"insects or trap count {found.insects}"
            pests = "; ".join(part for part in (found.dust, traps, found.pests_note) if part)
            if pests:
                yield "Dust and insects", pests
    if report.kind == ReportKind.DEINSTALL_AT_BENCH:
        for check in BenchCheck.objects.filter(report=report).select_related("lender_told_by"):
            same = "the same as for the earlier report" if check.same_lights else check.lights_note
            yield "Lights compared", same
            yield "Next step", str(check.get_next_step_display())
            if check.lender_told_at is not None:
                by = f", by {check.lender_told_by}" if check.lender_told_by else ""
                yield "Lender told", f"{of_house.moment(check.lender_told_at)}{by}"


def _written(report: ConditionReport, of_house: House) -> Iterator[tuple[str, str]]:
    """What the record already says, so that a signed copy can be read without the tool."""
    if report.examined_at is not None:
        names = sorted(person.full_name for person in report.examiners.all())
        yield "Examined", ", ".join([of_house.moment(report.examined_at), *names])
    if report.seen_as:
        yield "Seen as", SeenAs(report.seen_as).label
    lights = sorted(report.lights_used.all(), key=lambda row: row.number)
    if used := "\n".join(light_in_words(row) for row in lights if not row.taken_back):
        yield "Light used", used
    for area in sorted(report.ink_ratings.all(), key=lambda row: row.number):
        if not area.taken_back:
            level = InkLevel(area.level)
            yield (
                f"Iron-gall ink, {area.face.label}",
                f"{area.area}: {level.label}, {InkMethod(area.method).label}; asks for "
                f"{level.handling}",
            )
    missed = [row for row in report.not_seen.all() if not row.taken_back]
    if missed:
        words = (f"{row.what.label}{f': {row.note}' if row.note else ''}" for row in missed)
        yield "Not seen", "; ".join(sorted(words))
    elif report.everything_seen:
        yield "Not seen", "nothing: everything could be seen"
    sections = {row.name: row for row in report.sections.all()}
    for name in SectionName:
        row = sections.get(name.value)
        if row is not None and (row.observed or row.interpretation):
            meant = f"It means: {row.interpretation}" if row.interpretation else ""
            yield name.label, "\n".join(part for part in (row.observed, meant) if part)
    if report.nothing_to_note:
        yield "Findings", "nothing to note on the faces examined"
    yield from _judged(report)


def _judged(report: ConditionReport) -> Iterator[tuple[str, str]]:
    if report.grade:
        yield "Grade", Grade(report.grade).with_meaning
    if report.stability:
        yield "Stability", Stability(report.stability).label
    if report.result:
        yield "Result", CompareResult(report.result).label
    fits = [
        f"{what} {Fit(value).label}"
        for what, value in (
            ("display:", report.fit_display),
            ("travel:", report.fit_travel),
            ("handling:", report.fit_handling),
        )
        if value
    ]
    if fits:
        limits = [report.fit_limits] if report.fit_limits else []
        yield "Fit for", "; ".join([*fits, *limits])
    if report.treatment_needed:
        yield "Treatment needed", str(report.get_treatment_needed_display())
    for row in sorted(report.recommendations.all(), key=lambda row: row.number):
        if not row.taken_back:
            by = f" Wanted by {day(row.due_on)}." if row.due_on else ""
            yield f"Recommendation {row.number}", f"{row.get_about_display()}: {row.text}{by}"
    if report.next_check_due is not None:
        yield "Next check due", day(report.next_check_due)


def _signatures(report: ConditionReport) -> Iterator[SignatureWords]:
    """Authors by name where known; second reader; both ends of a loan, twice."""
    examiners = sorted(person.full_name for person in report.examiners.all())
    for name in examiners or [""]:
        yield SignatureWords(capacity=EXAMINED_BY, name=name)
    part_a = report.kind == ReportKind.DEINSTALL_AT_CASE
    yield SignatureWords(capacity="Countersigned by, conservator" if part_a else "Second reader")
    if report.museum_object.lender is not None:
        for when in ("arrival", "departure"):
            yield SignatureWords(capacity=f"For the lender, at {when}")
            yield SignatureWords(capacity=f"For the borrower, at {when}")
