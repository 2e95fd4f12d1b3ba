"""Find: by number, exact and near, by title, maker, exhibition, place, and by printed code."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db.models import Q, QuerySet

from lifecycle.process.rights import PersonFacts
from lifecycle.queries.objects import matching
from lifecycle.queries.rights import may_see_objects, may_see_places, may_see_showings
from lifecycle.records.base import CODE_ALPHABET, CODE_LENGTH, Coded, typed_code
from lifecycle.records.models import Exhibition, MuseumObject, Place, Showing, TreatmentReport

MOST = 25


@dataclass(frozen=True, slots=True)
class Found:
    """One hit: what it is, its name in words, and its record."""

    kind: str
    number: str
    words: str
    uid: UUID
    note: str = ""


@dataclass(frozen=True, slots=True)
class CodeHit:
    """The record a printed short code belongs to: its table's name and its uid."""

    table: str
    uid: UUID


@dataclass(frozen=True, slots=True)
class Results:
    """What was found, and the nearest numbers when nothing was."""

    objects: Sequence[Found]
    exhibitions: Sequence[Found]
    places: Sequence[Found]
    showings: Sequence[Found]
    nearest: Sequence[Found]

    @property
    def all(self) -> tuple[Found, ...]:
        return (*self.objects, *self.showings, *self.exhibitions, *self.places)


def coded_tables() -> list[type[Coded]]:
    """Return every table whose records carry a printed short code."""
    models = apps.get_app_config("records").get_models()
    return [model for model in models if issubclass(model, Coded)]


def looks_like_code(text: str) -> bool:
    """Whether the text could be a short code, lookalike letters forgiven."""
    code = typed_code(text)
    return len(code) == CODE_LENGTH and all(letter in CODE_ALPHABET for letter in code)


#: Letters of the code that a hand or an eye mixes up, in both directions.
_ALIKE = ("B8", "S5", "Z2", "G6", "UV", "DQ", "MN", "KX", "PR", "EF", "3B", "7T", "AR", "CG")


def near_codes(text: str) -> list[str]:
    """Return the codes that differ from what was typed in one letter that is easily mixed up."""
    code = typed_code(text)
    pairs = {(two[0], two[1]) for two in _ALIKE} | {(two[1], two[0]) for two in _ALIKE}
    return [
        code[:place] + other + code[place + 1 :]
        for place, letter in enumerate(code)
        for one, other in sorted(pairs)
        if letter == one
    ]


def code_hit(text: str) -> CodeHit | None:
    """Return the record with this short code; one small query for each coded table until found."""
    if not looks_like_code(text):
        return None
    code = typed_code(text)
    for table in coded_tables():
        model: Any = table
        uid = model._default_manager.filter(code=code).values_list("uid", flat=True).first()
        if uid is not None:
            return CodeHit(table=model._meta.model_name or "", uid=uid)
    return None


def showing_of(table: str, uid: UUID) -> UUID | None:
    """Return the showing a record belongs to."""
    model: Any = apps.get_model("records", table)
    found: UUID | None = (
        model._default_manager.filter(uid=uid).values_list("showing__uid", flat=True).first()
    )
    return found


def proposal_of_report(uid: UUID) -> UUID | None:
    """Return the proposal a treatment report is about: it is read at the proposal's address."""
    rows = TreatmentReport.objects.filter(uid=uid)
    found: UUID | None = rows.values_list("proposal__uid", flat=True).first()
    return found


def find(person: PersonFacts, text: str) -> Results:
    """Find what the person may see; a fixed number of queries whatever is asked."""
    text = " ".join(text.split())[:200]
    if not text:
        return Results((), (), (), (), ())
    objects = may_see_objects(person, MuseumObject.objects.all())
    hits = matching(objects, text).order_by("object_number", "pk")[: MOST + 1]
    found = [
        Found("object", row.object_number, row.title, row.uid, row.maker)
        for row in sorted(hits, key=lambda row: row.object_number.lower() != text.lower())
    ]
    exhibitions = Exhibition.objects.filter(
        Q(title__icontains=text) | Q(short__iexact=text) | Q(code__iexact=typed_code(text))
    ).order_by("-opens", "pk")[:MOST]
    seen = may_see_showings(person, Showing.objects.all())
    showings = (
        seen.filter(Q(request_no__iexact=text) | Q(exhibition_number__iexact=text))
        .select_related("museum_object", "exhibition")
        .order_by("-show_from", "pk")[:MOST]
    )
    places = (
        may_see_places(person, Place.objects.filter(closed_on=None))
        .filter(Q(name__icontains=text) | Q(code__iexact=typed_code(text)))
        .select_related("parent")
        .order_by("name", "pk")[:MOST]
    )
    place_hits = [
        Found("place", "", row.name, row.uid, row.parent.name if row.parent else "")
        for row in places
    ]
    nearest = [] if found else _nearest(objects.values_list("object_number", "title", "uid"), text)
    if looks_like_code(text):
        nearest += _near_codes(objects, may_see_places(person, Place.objects.all()), text)
    return Results(
        objects=found,
        exhibitions=[Found("exhibition", row.short, row.title, row.uid) for row in exhibitions],
        places=place_hits,
        showings=[
            Found(
                "showing",
                row.request_no,
                f"{row.museum_object.object_number} in {row.exhibition.title}",
                row.uid,
            )
            for row in showings
        ],
        nearest=nearest,
    )


def _near_codes(objects: QuerySet[MuseumObject], places: QuerySet[Place], text: str) -> list[Found]:
    """Return objects and places whose printed code was perhaps meant."""
    codes = near_codes(text)
    hits = [
        Found("object", row.object_number, row.title, row.uid, f"code {row.code}")
        for row in objects.filter(code__in=codes).order_by("object_number", "pk")[:6]
    ]
    return hits + [
        Found("place", "", row.name, row.uid, f"code {row.code}")
        for row in places.filter(code__in=codes).order_by("name", "pk")[:6]
    ]


def folded_number(number: str) -> str:
    """Write a number so that what is easily mixed up is equal: 0 and O; 1, I and L; dots."""
    kept = "".join(letter for letter in number.upper() if letter.isalnum())
    return kept.replace("O", "0").replace("I", "1").replace("L", "1")


def _nearest(rows: Iterable[tuple[str, str, UUID]], text: str) -> list[Found]:
    """Return objects whose number is near what was typed, nearest first."""
    known = {folded_number(number): (number, title, uid) for number, title, uid in rows}
    wanted = folded_number(text)
    if not wanted:
        return []
    names = [wanted] if wanted in known else []
    names += [name for name in get_close_matches(wanted, known, n=6, cutoff=0.7) if name != wanted]
    return [
        Found("object", *known[name][:2], known[name][2], "near what you typed") for name in names
    ]
