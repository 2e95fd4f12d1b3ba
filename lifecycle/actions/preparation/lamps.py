"""Lamps of a case: hung, changed, put right on record, taken out; each change is a light event.

A change voids the light that was measured wherever the lamp lights: light stops at no position, so
a lamp at one position of a case is a change for all of them. A change of heat in the case's own air
voids the climate run as well; a record that is only put right voids nothing.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.light.events import report_light_event, told_already
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.preparation.lamps import about_lamps
from lifecycle.queries.rights import case_around
from lifecycle.records.models.light import ChangeOfLight
from lifecycle.records.models.people import Person
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import Lamp, LampKind, LampWhere, UvKnownFrom

LAMP_DEEDS: Final = (Deed.PREPARE, Deed.HANDLE)
NOTE_LENGTH: Final = 200
SAME_KIND: Final = "replaced by one of the same kind"
#: Which change of light a changed column is; the first that applies names the event.
EVENTS: Final = (
    (("where", "kind", "type_text", "power_w"), ChangeOfLight.LAMP_REPLACED),
    (("position", "distance_mm", "aim"), ChangeOfLight.RE_AIMED),
    (("filter",), ChangeOfLight.FILTER_CHANGED),
    (("dim_percent",), ChangeOfLight.DIMMED),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSaid:
    """What is known of a lamp. Power in W, UV in µW/lm, distance in mm, level in % of its full."""

    name: str
    where: LampWhere
    position: str
    kind: LampKind
    type_text: str = ""
    power_w: Decimal | None = None
    filter: str = ""
    uv: Decimal | None = None
    uv_known_from: UvKnownFrom | None = None
    distance_mm: int | None = None
    dim_percent: int | None = None
    aim: str = ""
    hot: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LampChanged:
    """Since when it is so and by whose hand; ``really`` false while only the record is put right.

    A lamp that hung long before anybody wrote it down is no change of the light either.
    """

    at: datetime
    by: Person
    really: bool


@transaction.atomic
def write_lamp(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    said: LampSaid,
    changed: LampChanged,
    lamp: Lamp | None = None,
    edition: int = 0,
) -> Lamp:
    """Add a lamp to a place, or write one anew.

    :raises Conflict: if somebody saved this lamp meanwhile
    :raises Refused: if a figure or the moment can't be true, or the name is taken
    """
    here = _locked(place)
    allow_one_of(by=by, role=role, deeds=LAMP_DEEDS, at=at, about=about_lamps(here))
    row = None if lamp is None else _of_edition(here, lamp, edition, said)
    reasons = [*_faults(said), *_moments(changed, row, at)]
    taken = here.lamps.filter(name=said.name.strip(), taken_out_at=None).first()
    if taken is not None and taken != row:
        reasons.append(Reason(f"{here} has a lamp of that name: give it another.", "name"))
    if reasons:
        raise Refused(reasons)
    new = row is None
    row = row or Lamp(place=here, edition=0)
    before = {name: getattr(row, name) for name in asdict(said)}
    for name, value in asdict(said).items():
        setattr(row, name, value.strip() if isinstance(value, str) else value)
    row.uv_known_from = said.uv_known_from or ""
    after = {name: getattr(row, name) for name in before}
    differs = frozenset(name for name in before if new or before[name] != after[name])
    # A lamp that was really changed and reads as before was replaced by one of the same kind.
    event = _event(differs) if differs else ChangeOfLight.LAMP_REPLACED
    if new or changed.really:
        row.changed_at, row.changed_by = changed.at, changed.by
    row.edition += 1
    if not changed.really or event is None:
        why = "lamp put on record" if new else "record of the lamp put right"
        return row.keep(by=by, role=role, why=why, at=at)
    if _warms(new, before, after):
        row.heat_changed_at = changed.at
    names = ", ".join(sorted(name.replace("_", " ") for name in differs))
    what = "hung" if new else names or SAME_KIND
    _tell(row, event, f"{row.name}: {_in_words(before, after, new)}", changed, by, role, at)
    return row.keep(by=by, role=role, why=f"lamp changed: {what}", at=at)


@transaction.atomic
def take_lamp_out(
    *, by: Person, role: Role, at: datetime, lamp: Lamp, changed: LampChanged, why: str
) -> Lamp:
    """Take a lamp out; its row stays with who did it and why.

    :raises Refused: if it is out already, no reason is given, or the moment can't be true
    """
    here = _locked(lamp.place)
    allow_one_of(by=by, role=role, deeds=LAMP_DEEDS, at=at, about=about_lamps(here))
    row = Lamp.objects.select_for_update(of=("self",)).select_related("place").get(pk=lamp.pk)
    if row.taken_out_at is not None:
        raise Refused(f"{row.name} was taken out already.")
    reasons = list(_moments(changed, row, at))
    if not why.strip():
        reasons.append(Reason("Say why it was taken out.", "why"))
    if reasons:
        raise Refused(reasons)
    row.taken_out_at = row.changed_at = changed.at
    row.changed_by = changed.by
    row.edition += 1
    if changed.really:
        if row.where == LampWhere.INSIDE:
            row.heat_changed_at = changed.at
        note = f"{row.name}: taken out, {why.strip()}"
        _tell(row, ChangeOfLight.LAMP_REPLACED, note, changed, by, role, at)
    return row.keep(by=by, role=role, why=f"taken out: {why.strip()}", at=at)


def _locked(place: Place) -> Place:
    return Place.objects.select_for_update(of=("self",)).select_related("parent").get(pk=place.pk)


def _of_edition(place: Place, lamp: Lamp, edition: int, said: LampSaid) -> Lamp:
    rows = Lamp.objects.select_for_update(of=("self",)).filter(pk=lamp.pk, place=place)
    row = rows.filter(taken_out_at=None).first()
    if row is None:
        raise Refused(f"{lamp.name} no longer hangs there: look again.")
    if row.edition != edition:
        who = who_saved(row)
        raise Conflict(
            f"{who} saved lamp {row.name} while you were writing. Nothing of yours is lost.",
            theirs={name: getattr(row, name) for name in ("position", "aim", "filter")},
            mine={name: getattr(said, name) for name in ("position", "aim", "filter")},
            by=who,
            version=row.edition,
        )
    return row


def _faults(said: LampSaid) -> Iterator[Reason]:
    if not said.name.strip():
        yield Reason("Say which lamp it is, as on its fitting: L1.", "name")
    if not said.position.strip():
        yield Reason("Say where it hangs.", "position")
    if said.kind is LampKind.OTHER and not said.type_text.strip():
        yield Reason("Say what kind of lamp it is.", "type_text")
    if said.power_w is not None and said.power_w <= 0:
        yield Reason("The power is more than nothing.", "power_w")
    if said.uv is not None and said.uv < 0:
        yield Reason("UV can't be below nothing.", "uv")
    if (said.uv is None) != (said.uv_known_from is None):
        yield Reason("Give the UV and how it is known, or neither.", "uv_known_from")
    if said.distance_mm is not None and said.distance_mm <= 0:
        yield Reason("The distance is more than nothing.", "distance_mm")
    if said.dim_percent is not None and not 0 <= said.dim_percent <= 100:
        yield Reason("The level lies between 0 and 100 %.", "dim_percent")


def _moments(changed: LampChanged, row: Lamp | None, at: datetime) -> Iterator[Reason]:
    if changed.at > at:
        yield Reason("It can't have been changed in the future.", "changed_at")
    elif row is not None and changed.really and changed.at < row.changed_at:
        yield Reason("A later change of this lamp is on record already.", "changed_at")


def _event(differs: frozenset[str]) -> ChangeOfLight | None:
    """What the change is to the light; nothing where only words or knowledge changed."""
    return next((event for names, event in EVENTS if differs & set(names)), None)


def _warms(new: bool, before: dict[str, object], after: dict[str, object]) -> bool:
    """Whether more or other heat goes into the air of the case than during an earlier run.

    A lower level or another aim does not; a lamp of another kind, power or place does, and so does
    a higher level. This is our own rule.
    """
    if LampWhere.INSIDE not in (before["where"], after["where"]):
        return False
    if new or any(before[name] != after[name] for name in ("where", "kind", "power_w")):
        return True
    was, now = before["dim_percent"], after["dim_percent"]
    return isinstance(now, int) and now > (was if isinstance(was, int) else 0)


#: What a changed column is called in the note of the event, and its unit.
WORDS: Final = {
    "where": ("hangs", ""),
    "kind": ("kind", ""),
    "type_text": ("type", ""),
    "power_w": ("power", " W"),
    "position": ("place", ""),
    "distance_mm": ("distance", " mm"),
    "aim": ("aim", ""),
    "filter": ("filter", ""),
    "dim_percent": ("level", " %"),
}


def _in_words(before: dict[str, object], after: dict[str, object], new: bool) -> str:
    """What changed, short enough for the note of an event."""
    if new:
        return "hung"
    said = []
    for names, _ in EVENTS:
        for name in names:
            was, now = before[name], after[name]
            if was != now:
                label, unit = WORDS[name]
                said.append(f"{label} {_value(was, unit)} to {_value(now, unit)}")
    return ", ".join(said) or SAME_KIND


def _value(value: object, unit: str) -> str:
    if value in (None, ""):
        return "not said"
    for closed in (LampWhere, LampKind):
        if any(value == word for word in closed):
            return closed(str(value)).label
    return f"{value}{unit}"


def _tell(
    row: Lamp,
    what: ChangeOfLight,
    note: str,
    changed: LampChanged,
    by: Person,
    role: Role,
    at: datetime,
) -> None:
    """Report the light event of all the lamp lights, unless it is told of for that minute already.

    Whether its light reaches the neighbours nobody has measured, so it is taken to.
    """
    lit = case_around(row.place)
    if told_already(lit, what, changed.at, changed.at) is not None:
        return
    if lit != row.place:
        note = f"at {row.place}, {note}"
    report_light_event(
        by=by,
        role=role,
        at=at,
        place=lit,
        what=what,
        from_at=changed.at,
        note=note[:NOTE_LENGTH],
    )
