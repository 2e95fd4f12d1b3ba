"""A filled condition report: circumstances, lights, features, judgement, notes."""

from dataclasses import replace
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from lifecycle.actions.condition.contested import CLOSED
from lifecycle.actions.condition.head import (
    Circumstances,
    Conclusions,
    occasion_of,
    save_circumstances,
    save_conclusions,
)
from lifecycle.actions.condition.looking import add_light, put_face_picture, say_not_seen
from lifecycle.actions.condition.sections import save_section
from lifecycle.actions.reading_back.deciding import RECORD, SHEET, Deciding, as_printed
from lifecycle.actions.reading_back.features import faces_of, take_known, take_new
from lifecycle.actions.refusals import Refused
from lifecycle.papers.sheets.asked import WRITE
from lifecycle.papers.sheets.shared import NOTHING_FURTHER
from lifecycle.process.words import LightKind, SeenAs
from lifecycle.records.models import ConditionReport, Face, Place, Vocabulary, Word
from lifecycle.records.models.condition.words import SectionName

_LABELS: Final = {
    "grade": "Grade",
    "stability": "Stability",
    "result": "Result against the earlier report",
    "fit_display": "Fit for display",
    "fit_travel": "Fit for travel",
    "fit_handling": "Fit for handling",
    "treatment_needed": "Treatment needed",
}


def take_report(deciding: Deciding, printed: ConditionReport) -> None:
    """Take a filled condition report into its latest version, if that is still a draft.

    A version that is signed meanwhile stays as it is: what the sheet says is kept beside it.
    """
    report = latest_version(printed)
    deciding.targets.append(str(report))
    if report.signed or report.struck_at is not None:
        how = "signed" if report.signed else "struck"
        text = f"{report} is {how}: correct it by a new version to take in what the sheet says"
        deciding.note("report", "Condition report", str(printed), text, RECORD)
        return
    then = as_printed(printed, deciding.print.printed_at)
    _circumstances(deciding, report, then)
    take_lights(deciding, report)
    take_not_seen(deciding, report)
    for number, row in enumerate(faces_of(report), start=1):
        take_face(deciding, report, row.face, f"features.{number}", f"further.{number}")
    names = (*_LABELS, "fit_limits", "next_check_due", "nothing_to_note")
    take_conclusions(deciding, report, then, names=names)
    take_notes(deciding, report, "notes")


def latest_version(report: ConditionReport) -> ConditionReport:
    """The last version of a report that was not struck, locked."""
    versions = ConditionReport.objects.select_for_update(of=("self",)).filter(
        report_no=report.report_no, struck_at=None
    )
    return versions.order_by("-version").first() or report


def _circumstances(deciding: Deciding, report: ConditionReport, then: Any) -> None:
    seen_as = _value(SeenAs, deciding.one("seen_as", "Seen as"))
    wanted: dict[str, Any] = {}
    if seen_as and deciding.wants(
        "seen_as", "Seen as", SeenAs(seen_as).label, _label(SeenAs, report.seen_as),
        _label(SeenAs, then.seen_as) if then else None,
    ):  # fmt: skip
        wanted["seen_as"] = seen_as
    if place := _place(deciding.text("where")):
        now = report.where.name if report.where else ""
        before = then.where.name if then and then.where else ""
        if deciding.wants("where", "Where", place.name, now, before):
            wanted["where"] = place
    complete = {"yes": True, "no:": False}.get(deciding.one("components", "Components complete"))
    counted = report.components_complete
    if complete is not None and deciding.wants(
        "components", "Components complete", _yes(complete), _yes(counted),
        _yes(then.components_complete) if then else None,
    ):  # fmt: skip
        wanted["complete"] = complete
    if not wanted:
        return
    missing = deciding.text(f"components.{WRITE}")
    try:
        save_circumstances(
            report=report,
            circumstances=Circumstances(
                occasion=replace(
                    occasion_of(report),
                    where=wanted.get("where", report.where),
                    seen_as=wanted.get("seen_as", report.seen_as),
                ),
                reason=report.reason,
                components_complete=wanted.get("complete", counted),
                components_note=(missing if "complete" in wanted else "") or report.components_note,
                compared_with=report.compared_with,
                none_known=report.none_known,
            ),
            revision=report.circumstances_revision,
            **deciding.writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, "seen_as")
    report.refresh_from_db()


def _place(name: str) -> Place | None:
    """A place by its name, when there is exactly one of that name."""
    found = list(Place.objects.filter(name__iexact=name)[:2]) if name else []
    return found[0] if len(found) == 1 else None


def _yes(answer: bool | None) -> str:
    return {None: "", True: "yes", False: "no"}[answer]


def take_lights(deciding: Deciding, report: ConditionReport, part: str = "") -> None:
    """Note each light that is ticked and not on record yet, with its side, times or minutes."""
    noted = set(report.lights_used.filter(taken_back=False).values_list("light", flat=True))
    for label in deciding.ticked(f"{part}lights"):
        light = LightKind(_value(LightKind, label))
        if light.value in noted:
            continue
        beside: dict[str, Any] = {}
        if light is LightKind.RAKING:
            beside["direction_clock"] = _whole(deciding, f"{part}raking_from", "o'clock")
        if light is LightKind.MAGNIFIED:
            beside["magnification"] = _figure(deciding, f"{part}magnified", "how many times")
        if light is LightKind.UV_FLUORESCENCE:
            beside["minutes"] = _figure(deciding, f"{part}uv_minutes", "minutes")
        try:
            add_light(report=report, light=light, **beside, **deciding.writer.signed)
        except Refused as refused:
            deciding.carry_over(refused, f"{part}lights")
        else:
            deciding.note(f"{part}lights", "Light used", light.label, "", SHEET)


def _figure(deciding: Deciding, key: str, what: str) -> Decimal | None:
    written = deciding.text(key).lower().strip("×x ").replace(",", ".")
    if not written:
        return None
    try:
        return Decimal(written.split()[0])
    except InvalidOperation:
        deciding.refuse(f"“{written}” is no number: write {what} alone.", key)
        return None


def _whole(deciding: Deciding, key: str, what: str) -> int | None:
    figure = _figure(deciding, key, what)
    return int(figure) if figure is not None else None


def take_not_seen(deciding: Deciding, report: ConditionReport, part: str = "") -> None:
    """Say what could not be seen, for each box that is ticked and not on record yet."""
    said = set(report.not_seen.filter(taken_back=False).values_list("what__label", flat=True))
    words = Word.objects.filter(vocabulary=Vocabulary.NOT_SEEN, retired_on=None)
    note = deciding.text(f"{part}not_seen.{WRITE}")
    for label in deciding.ticked(f"{part}not_seen"):
        word = words.filter(label=label).first()
        if word is None or label in said:
            continue
        try:
            say_not_seen(report=report, what=word, note=note, **deciding.writer.signed)
        except Refused as refused:
            deciding.carry_over(refused, f"{part}not_seen")
        else:
            deciding.note(f"{part}not_seen", "Not seen", label, "", SHEET)


def take_face(
    deciding: Deciding, report: ConditionReport, face: Face, table: str, further: str
) -> None:
    """The features of one face, and that nothing further was seen on it."""
    take_known(deciding, report, table)
    take_new(deciding, report, face, table)
    row = report.report_faces.filter(face=face).select_related("face", "picture").first()
    if row is not None and NOTHING_FURTHER in deciding.ticked(further) and not row.nothing_further:
        try:
            put_face_picture(
                row=row, picture=row.picture, nothing_further=True, **deciding.writer.signed
            )
        except Refused as refused:
            deciding.carry_over(refused, further)
        else:
            deciding.note(further, f"Face {face.label}", NOTHING_FURTHER, "", SHEET)


def take_conclusions(
    deciding: Deciding,
    report: ConditionReport,
    then: Any,
    *,
    names: tuple[str, ...],
    part: str = "",
) -> None:
    """Grade, stability, fitness, result: each field by itself."""
    now = Conclusions(**{name: getattr(report, name) for name in Conclusions.__dataclass_fields__})
    changed = now
    for name in (one for one in names if one in _LABELS):
        key, words = f"{part}{name}", CLOSED[name]
        label = deciding.one(key, _LABELS[name])
        before = _label(words, getattr(then, name)) if then else None
        if deciding.wants(key, _LABELS[name], label, _label(words, getattr(report, name)), before):
            value: Any = _value(words, label)
            changed = replace(changed, **{name: value})
    if "fit_limits" in names:
        limits = [
            deciding.text(f"fit_{what}.{WRITE}") for what in ("display", "travel", "handling")
        ]
        written = "; ".join(dict.fromkeys(one for one in limits if one))
        before = then.fit_limits if then else None
        if deciding.wants("fit_limits", "Limits", written, report.fit_limits, before):
            changed = replace(changed, fit_limits=written)
    if "next_check_due" in names and (due := _day(deciding, "next_check_due")):
        known = report.next_check_due
        before = str(then.next_check_due or "") if then else None
        if deciding.wants("next_check_due", "Next check due", str(due), str(known or ""), before):
            changed = replace(changed, next_check_due=due)
    if "nothing_to_note" in names and deciding.ticked("nothing_to_note"):
        changed = replace(changed, nothing_to_note=True)
    if changed == now:
        return
    try:
        save_conclusions(
            report=report,
            conclusions=changed,
            revision=report.conclusions_revision,
            **deciding.writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, f"{part}result")
    report.refresh_from_db()


def _day(deciding: Deciding, key: str) -> date | None:
    written = deciding.text(key)
    if not written:
        return None
    try:
        return date.fromisoformat(written)
    except ValueError:
        deciding.refuse(f"“{written}” is no day: write it as 2027-03-14.", key)
        return None


def take_notes(deciding: Deciding, report: ConditionReport, key: str) -> None:
    """The free lines go into the summary, below what stands there."""
    written = deciding.text(key)
    section = report.sections.filter(name=SectionName.SUMMARY).first()
    now = section.observed if section else ""
    then = as_printed(section, deciding.print.printed_at) if section else None
    if written and written in now:
        return
    if deciding.wants(key, "Notes", written, now, then.observed if then else None):
        save_section(
            report=report,
            name=SectionName.SUMMARY,
            observed="\n".join(part for part in (now, written) if part),
            interpretation=section.interpretation if section else "",
            revision=section.revision if section else 0,
            **deciding.writer.signed,
        )


def _value(words: Any, label: str) -> str:
    return next((str(one.value) for one in words if str(one.label) == label), "")


def _label(words: Any, value: str) -> str:
    return str(words(value).label) if value else ""
