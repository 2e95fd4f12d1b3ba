"""Which rows a package holds: all of the museum, what belongs to one object, or to one showing.

A row belongs to an object or a showing by its own foreign keys or through the record it is told
inside. People, places, words, instruments and the like belong to nobody: those that a row names
come with it, and those that they name in turn.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any, Final

from django.db import models
from django.db.models import Q, QuerySet

from lifecycle.queries.package.kinds import (
    WHOLE_MUSEUM_ONLY,
    KindOfRecord,
    Model,
    kind_of,
    kinds,
)
from lifecycle.records.models import DisplayPeriod, MuseumObject, Place, Showing
from lifecycle.records.signable import Signable

Named = Mapping[Model, set[int]]

#: How a kind is reached from an object, and from a showing, where no foreign key says so.
FROM_OBJECT: Final = {
    "MuseumObject": ("pk",),
    "Movement": ("lines__museum_object",),
    "Loan": ("lines__museum_object",),
    "Incident": ("lines__museum_object",),
    "Print": ("about__museum_object",),
    "Exhibition": ("showings__museum_object",),
    "Facsimile": ("of_face__museum_object",),
    "PictureMatch": ("lower__museum_object",),
    "TurnRecord": ("showing__museum_object", "other_showing__museum_object"),
    "Appointment": ("showing__museum_object", "other_showing__museum_object"),
}
FROM_SHOWING: Final = {
    "MuseumObject": ("showings",),
    "Showing": ("pk",),
    "Movement": ("lines__showing",),
    "Loan": ("showings",),
    "Incident": ("lines__showing",),
    "Print": ("about__showing",),
    "Exhibition": ("showings",),
    "PictureMatch": ("lower__museum_object__showings",),
    "TurnRecord": ("showing", "other_showing"),
    "Appointment": ("showing", "other_showing"),
}
#: Kinds that belong where these foreign keys of theirs point to.
BELONGS_WITH: Final = {
    "ProposalVersion": ("proposal",),
    "TreatmentReport": ("proposal",),
    "Requirement": ("loan", "showing"),
    "GateSwitch": ("house_rules", "exhibition"),
    "PassOn": ("from_showing", "to_showing"),
    "MaterialResult": ("material",),
}
#: Kinds that come along when another row names them.
NAMED: Final = frozenset(
    {
        "Person", "Organisation", "Word", "SensitivityClass", "Instrument", "Material", "Picture",
        "Document", "Place", "LitTimetable", "HouseRules", "StandingConsent",
    }
)  # fmt: skip
#: What was measured or done at a place belongs to an object while it was on display there.
WHILE_SHOWN: Final = {
    "LightReading": ("read_at", "read_at"),
    "ClimateReading": ("read_at", "read_at"),
    "LightEvent": ("from_at", "until_at"),
    "LightLog": ("from_at", "until_at"),
    "CaseOpening": ("opened_at", "opened_at"),
}
FOR_EXHIBITION: Final = frozenset({"CaseReadiness", "LightProof"})
SIGNED_BESIDE: Final = ("Consent", "DeviationConsent", "Movement")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """What a package is about; both None for the whole museum (database ids)."""

    museum_object: int | None = None
    showing: int | None = None

    @property
    def whole(self) -> bool:
        return self.museum_object is None and self.showing is None


class Reach:
    """The rows of one scope, kind by kind; ``hidden`` are (table, column) that nobody is told."""

    def __init__(self, scope: Scope, hidden: frozenset[tuple[str, str]] = frozenset()) -> None:
        self.scope = scope
        self.hidden = hidden
        self.named: dict[Model, set[int]] = defaultdict(set)
        if not scope.whole:
            self._gather()

    def rows(self, kind: KindOfRecord) -> "QuerySet[Any]":
        """Return the rows of a kind that belong to the scope, in the order they were written."""
        rows = kind.rows()
        if not self.scope.whole:
            rows = rows.filter(pk__in=rows.filter(self._chosen(kind)).values("pk"))
        return rows.order_by("pk")

    def _chosen(self, kind: KindOfRecord) -> Q:
        name = kind.model.__name__
        if name in WHOLE_MUSEUM_ONLY:
            return _none()
        if name == "Museum":
            return Q()
        if name == "Signature":
            return self._signatures()
        if name in NAMED:
            own = name == "Picture" and self.scope.museum_object is not None
            extra = Q(museum_object=self.scope.museum_object) if own else _none()
            return Q(pk__in=self.named[kind.model]) | extra
        if name in WHILE_SHOWN:
            return self._while_shown(name, kind)
        if name in FOR_EXHIBITION:
            shown = self._sub(kind_of(_target(kind.model, "exhibition")))
            return Q(place__in=self.named[Place]) & Q(exhibition__in=shown)
        if name in BELONGS_WITH:
            return self._with(kind, BELONGS_WITH[name])
        return self._anchored(kind)

    def _anchored(self, kind: KindOfRecord) -> Q:
        scope, model = self.scope, kind.model
        if scope.museum_object is not None:
            paths = _object_paths(model)
            return _one_of(paths, scope.museum_object) if paths else self._with(kind, kind.inside)
        if known := FROM_SHOWING.get(model.__name__):
            return _one_of(known, scope.showing)
        if not _has(model, "showing"):
            return self._with(kind, kind.inside)
        # What was made for no showing in particular goes with the object, so with each of them.
        around = _one_of([f"{path}__in" for path in _object_paths(model)], self._objects())
        return Q(showing=scope.showing) | (Q(showing=None) & around)

    def _objects(self) -> "QuerySet[Any]":
        return MuseumObject.objects.filter(showings=self.scope.showing).values("pk")

    def _with(self, kind: KindOfRecord, keys: Iterable[str]) -> Q:
        """The rows whose record, the one they are told inside, belongs to the scope."""
        ways = [Q(**{f"{key}__in": self._sub(kind_of(_target(kind.model, key)))}) for key in keys]
        return reduce(or_, ways, _none())

    def _sub(self, kind: KindOfRecord) -> "QuerySet[Any]":
        return kind.rows().filter(self._chosen(kind)).values("pk")

    def _signatures(self) -> Q:
        signed = [
            kind
            for kind in kinds()
            if issubclass(kind.model, Signable) or kind.model.__name__ in SIGNED_BESIDE
        ]
        uids = (kind.rows().filter(self._chosen(kind)).values("uid") for kind in signed)
        return reduce(or_, (Q(record_uid__in=found) for found in uids), _none())

    def _while_shown(self, name: str, kind: KindOfRecord) -> Q:
        begins, ends = WHILE_SHOWN[name]
        periods = DisplayPeriod.objects.filter(self._chosen(kind_of(DisplayPeriod)))
        found = _none()
        for period in periods.filter(struck_at=None).select_related("place").order_by("pk"):
            there = Q(place__in=_with_parents(period.place_id))
            there &= Q(**{f"{ends}__gte": period.opened_at}) | Q(**{f"{ends}__isnull": True})
            if period.closed_at is not None:
                there &= Q(**{f"{begins}__lte": period.closed_at})
            found |= there
        if name == "LightReading":
            showings = Showing.objects.filter(self._chosen(kind_of(Showing))).values("pk")
            found |= Q(showing__in=showings)
        return found

    def _gather(self) -> None:
        """Note everything that rows of the scope name, and what that names in turn."""
        free = [kind for kind in kinds() if kind.model.__name__ not in WHOLE_MUSEUM_ONLY]
        for kind in free:
            if kind.model.__name__ not in NAMED:
                self._note(kind)
        before = -1
        while (now := sum(len(found) for found in self.named.values())) != before:
            before = now
            for kind in free:
                if self._hangs_on_named(kind):
                    self._note(kind)

    def _hangs_on_named(self, kind: KindOfRecord) -> bool:
        name = kind.model.__name__
        keys = (*kind.inside, *BELONGS_WITH.get(name, ()))
        inside = (_target(kind.model, key).__name__ for key in keys)
        return name in NAMED or name in FOR_EXHIBITION or bool(set(inside) & NAMED)

    def _note(self, kind: KindOfRecord) -> None:
        rows = kind.rows().filter(self._chosen(kind))
        keys = [
            field
            for field in kind.model._meta.fields
            if isinstance(field, models.ForeignKey) and self._tells(kind, field)
        ]
        if keys:
            columns = [field.attname for field in keys]
            for values in rows.order_by().values_list(*columns).distinct().iterator():
                for field, value in zip(keys, values, strict=True):
                    if value is not None:
                        self.named[_target(kind.model, field.name)].add(value)
        for many in kind.model._meta.many_to_many:
            if self._tells(kind, many):
                found = rows.exclude(**{many.name: None}).values_list(many.name, flat=True)
                self.named[_target(kind.model, many.name)].update(found.order_by().distinct())

    def _tells(self, kind: KindOfRecord, field: "models.Field[Any, Any]") -> bool:
        if (kind.model.__name__, field.name) in self.hidden:
            return False
        return _target(kind.model, field.name).__name__ in NAMED


def _none() -> Q:
    return Q(pk__in=())


def _has(model: Model, name: str) -> bool:
    return any(field.name == name for field in model._meta.fields)


def _target(model: Model, name: str) -> Any:
    return model._meta.get_field(name).related_model


def _one_of(paths: Iterable[str], value: object) -> Q:
    return reduce(or_, (Q(**{path: value}) for path in paths), _none())


def _object_paths(model: Model) -> tuple[str, ...]:
    """How a table's own foreign keys lead to the object; none: by the record it is told inside."""
    if known := FROM_OBJECT.get(model.__name__):
        return known
    if _has(model, "museum_object") and _owning(model, "museum_object"):
        return ("museum_object",)
    if _has(model, "showing") and not model._meta.get_field("showing").null:
        return ("showing__museum_object",)
    if _has(model, "face") and (_owning(model, "face") or _has(model, "showing")):
        return ("face__museum_object",)
    return ()


def _owning(model: Model, name: str) -> bool:
    field: Any = model._meta.get_field(name)
    return field.remote_field is not None and field.remote_field.related_name != "+"


def _with_parents(place_id: int) -> list[int]:
    """A place and everything above it: a reading of the case counts for its positions."""
    found: list[int] = []
    at: int | None = place_id
    while at is not None and at not in found:
        found.append(at)
        at = Place.objects.filter(pk=at).values_list("parent", flat=True).first()
    return found
