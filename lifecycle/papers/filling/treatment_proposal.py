"""From one version of a proposal, sent or still a draft."""

from collections.abc import Iterator
from datetime import datetime

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    figure,
    house,
    picture_words,
)
from lifecycle.papers.words.parts import DatedLine
from lifecycle.papers.words.treatment_proposal import (
    OptionWords,
    ShownPicture,
    TreatmentProposalWords,
    WeighedCaution,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.stages import Role
from lifecycle.process.treatment_days import answer_due
from lifecycle.process.words import ReportKind
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.queries.days_off import days_off_on
from lifecycle.queries.treatment.consenting import community_needed, roles_needed
from lifecycle.queries.treatment.reading import options_of, with_consents
from lifecycle.records.models import ConditionReport, Picture, ProposalVersion, RemovedMatter
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment import Aim, Consent, Decision, HowGiven, MaterialKind, Undo

LENDER_SIGNS = "Lender, in writing"
COMMUNITY_SIGNS = "Source community"


def treatment_proposal_words(version: ProposalVersion, at: datetime) -> TreatmentProposalWords:
    """The words of the paper; a fixed number of queries, whatever is planned."""
    of_house = house()
    objects = tuple(f"proposal__museum_object__{name}" for name in WITH_OBJECT)
    found = (
        with_consents(ProposalVersion.objects.filter(pk=version.pk))
        .select_related(*objects, "proposal__showing__exhibition", "proposal__opened_by")
        .prefetch_related("proposal__museum_object__hazards")
        .get()
    )
    proposal = found.proposal
    return TreatmentProposalWords(
        institution=of_house.name,
        about=block_o(
            proposal.museum_object,
            of_house=of_house,
            activity=CautionFor.TREAT,
            showing=proposal.showing,
            only=("Always", "Solvents") if _wants_solvent(found) else ("Always",),
            beside=ink_sentences([proposal.museum_object]),
        ),
        proposal_no=proposal.proposal_no,
        version=found.version,
        sent=f"sent {of_house.moment(found.signed_at)}" if found.signed else "a draft, not sent",
        aim=_aim(found),
        state=found.state_text or "as the report says",
        based_on=_report(found.based_on, of_house),
        pictures=tuple(_pictures(found, of_house)),
        options=tuple(
            OptionWords(
                what=option.what,
                gain=option.gain,
                risk=option.risk,
                undo=Undo(option.undo).label,
                hours=figure(option.hours),
                cost=option.cost,
                chosen=option.chosen,
            )
            for option in sorted(options_of(found), key=lambda one: not one.do_nothing)
        ),
        why=found.why or "not said yet",
        steps=tuple(
            (
                step.step.label,
                ", ".join(
                    part
                    for part in (step.face.label if step.face else "every face", step.area)
                    if part
                ),
                step.limits,
            )
            for step in found.steps.all()
        ),
        materials=tuple(
            (str(line.material), figure(line.concentration, "%"), line.solvent)
            for line in found.materials.all()
        ),
        cautions=tuple(
            WeighedCaution(warning=row.warning, why=row.why)
            for row in found.cautions.filter(left_out=False).order_by("pk")
        ),
        tests_first=found.tests_first or "none",
        removed=_removed(found),
        effect_on_display=found.effect_on_display or "none said",
        stop_rules=found.stop_rules or "not said yet",
        work=_work(found),
        undo={True: "yes", False: "no", None: "not said yet"}[found.reversible],
        no_answer=_no_answer(found, of_house),
        needed=tuple(_needed(found)),
        proposer=_proposer(found),
        decided=tuple(_decided(found, at, of_house)),
    )


def _needed(version: ProposalVersion) -> Iterator[str]:
    for role in roles_needed(version):
        yield LENDER_SIGNS if role is Role.LENDER else role.label[:1].upper() + role.label[1:]
    if community := community_needed(version):
        yield f"{COMMUNITY_SIGNS}: {community}"


def _wants_solvent(version: ProposalVersion) -> bool:
    return any(line.material.kind == MaterialKind.SOLVENT for line in version.materials.all())


def _aim(version: ProposalVersion) -> str:
    aim = Aim(version.aim).label if version.aim else "not chosen yet"
    return f"{aim}: {version.aim_text}" if version.aim_text else aim


def _report(report: ConditionReport | None, of_house: House) -> str:
    if report is None:
        return "not named yet"
    kind = ReportKind(report.kind).label
    when = of_house.moment(report.examined_at) or "time not known"
    return f"{report.report_no} version {report.version} ({kind}), {when}"


def _pictures(version: ProposalVersion, of_house: House) -> Iterator[ShownPicture]:
    rows = version.pictures.filter(left_out=False).select_related("picture__face").order_by("pk")
    for row in rows:
        if (picture := picture_words(row.picture)) is not None:
            yield ShownPicture(picture=picture, caption=_caption(row.picture, of_house))


def _caption(picture: Picture, of_house: House) -> str:
    light = f"{picture.get_light_display()} light" if picture.light else ""
    said = (
        picture.face.label if picture.face else "",
        picture.get_purpose_display(),
        light,
        of_house.moment(picture.taken_at),
    )
    return "\n".join(part for part in said if part)


def _removed(version: ProposalVersion) -> str:
    word = RemovedMatter(version.removed_matter).label
    return f"{word}: {version.removed_where}" if version.removed_where else word


def _work(version: ProposalVersion) -> str:
    said = [figure(version.hours_est, "h") or "not estimated yet"]
    if version.start_not_before:
        said.append(f"not to start before {day(version.start_not_before)}")
    if version.finish_by:
        said.append(f"to be finished by {day(version.finish_by)}")
    return ", ".join(said)


def _no_answer(version: ProposalVersion, of_house: House) -> str:
    if version.signed_at is None:
        return "it was not sent yet"
    sent_on = version.signed_at.astimezone(of_house.zone).date()
    until = day(answer_due(sent_on, days_off_on(sent_on)))
    return f"by {until}: nothing is done, and the conservator asks again"


def _proposer(version: ProposalVersion) -> str:
    signed = (
        Signature.objects.filter(record_uid=version.uid).select_related("person").order_by("pk")
    )
    first = signed.first()
    return first.person.full_name if first else version.proposal.opened_by.full_name


def _decided(version: ProposalVersion, at: datetime, of_house: House) -> Iterator[DatedLine]:
    for row in version.consents.all():
        if row.decided_at <= at:
            yield DatedLine(
                when=of_house.moment(row.decided_at),
                what=decision_words(row),
                who=_who(row),
            )


def decision_words(row: Consent) -> str:
    """What was decided on a version, within which limits, without which steps, until when."""
    said = [Decision(row.decision).label, row.limits.rstrip(".")]
    said += [
        f"not covered: {line.step.label} on {line.face.label if line.face else 'every face'}"
        for line in row.exclusions.all()
    ]
    if row.valid_until:
        said.append(f"counts until {day(row.valid_until)}")
    return "; ".join(part for part in said if part)


def _who(row: Consent) -> str:
    if row.community:
        how = HowGiven(row.how).label
        return f"{row.speaker}, {row.community}, {how}; put on record by {row.person.full_name}"
    who = f"{row.person.full_name}, {Role(row.role).label}"
    return f"{who}, as deputy for {row.for_person.full_name}" if row.for_person else who
