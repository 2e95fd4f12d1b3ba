"""Ask for an open package of one object, one closed showing or the whole museum."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.package.saving import Order
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.work.rows import OPEN, ask
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.queries.letters import museum_name
from lifecycle.queries.package.left_out import seen_by
from lifecycle.queries.package.scope import Scope
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import MuseumObject, Person, Showing, Work, WorkKind

Subject = MuseumObject | Showing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Titles:
    """How a package of something is called, and the sentence that says what it is."""

    title: str
    about: str
    short: str


def titles_of(subject: Subject) -> Titles:
    """Return the words about a package of this object, this showing, or (None) the museum."""
    if isinstance(subject, MuseumObject):
        name = f"{subject.object_number}, {subject.title}"
        return Titles(
            title=f"Open package: {name}",
            about=f"Everything on record about the museum object {name}: its condition, "
            "treatments, showings, light, movements, pictures and papers.",
            short=subject.object_number,
        )
    if isinstance(subject, Showing):
        name = f"{subject.museum_object.object_number}, {subject.museum_object.title}"
        return Titles(
            title=f"Open package: {name} in {subject.exhibition.title}",
            about=f"Everything on record about one showing, {subject.request_no}: the whole trip "
            f"of the museum object {name} for the exhibition {subject.exhibition.title}, from "
            "the request until it was back at rest, with what is known of the object itself.",
            short=subject.request_no,
        )
    return Titles(
        title=f"Open package: all records of {museum_name()}",
        about=f"Everything on record at {museum_name()} about bringing museum objects safely on "
        "display and back.",
        short=museum_name(),
    )


def faults_of_subject(subject: Subject) -> list[Reason]:
    """Return why no package of this can be made: a showing must be over."""
    if isinstance(subject, Showing) and Stage(subject.stage) not in CLOSED:
        text = (
            f"{subject.request_no} is not over yet (it stands at ‘{Stage(subject.stage).label}’): "
            "save it when it is closed, or save the object."
        )
        return [Reason(text, "request_no", "package.open_showing")]
    return []


@transaction.atomic
def ask_for_package(*, by: Person, role: Role, at: datetime, subject: Subject) -> Work:
    """Have a package made in the background.

    What only some may read (how lenders are reached, say) is in it if ``by`` may read it today.

    :raises NotAllowed: if the person may not export
    :raises Refused: a showing that is not over, or the same package being made already
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    if reasons := faults_of_subject(subject):
        raise Refused(reasons)
    of = "museum" if subject is None else str(subject.uid)
    under_way = Work.objects.select_for_update().filter(
        kind=WorkKind.OPEN_PACKAGE, state__in=OPEN, inputs__of=of
    )
    if under_way:
        raise Refused("This package is being made already; wait for it, or stop it first.")
    titles = titles_of(subject)
    inputs = {
        "of": of,
        "what": "museum" if subject is None else subject._meta.model_name,
        "title": titles.title,
        "made_by": f"{by.full_name} ({role.label})",
        "seen": sorted(seen_by(person_facts(by, at))),
    }
    key = f"package/{of}/{at.isoformat()}"
    return ask(kind=WorkKind.OPEN_PACKAGE, key=key, by=by, at=at, inputs=inputs)


_MODELS: Final[dict[str, Any]] = {"museumobject": MuseumObject, "showing": Showing}


def subject_of(inputs: dict[str, Any]) -> Subject:
    """Return what a package was asked about.

    :raises LookupError: if it is no longer on record
    """
    if inputs["what"] == "museum":
        return None
    model = _MODELS[inputs["what"]]
    found: Subject = model.objects.filter(uid=inputs["of"]).first()
    if found is None:
        raise LookupError("What the package was to be about is no longer on record.")
    return found


def order_of(subject: Subject, *, made_by: str, seen: frozenset[str], at: datetime) -> Order:
    """Return the order for a package: its rows, its words, and what its reader may see."""
    titles = titles_of(subject)
    scope = Scope(
        museum_object=subject.pk if isinstance(subject, MuseumObject) else None,
        showing=subject.pk if isinstance(subject, Showing) else None,
    )
    return Order(
        scope=scope, title=titles.title, about=titles.about, made_by=made_by, at=at, seen=seen
    )
