"""The showing a page is about, and the cautions that stand on the form before the work."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import NoReverseMatch, reverse

from lifecycle.pages.door import SignedInRequest
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.rights import Deed
from lifecycle.process.words import Hazard
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import JournalEntry, MuseumObject, ObjectHazard, Showing


def seen_showing(request: SignedInRequest, uid: UUID) -> Showing:
    """The showing at this address, with what every page of it names.

    :raises NotAllowed: if this person may not see it
    """
    showing = get_object_or_404(
        Showing.objects.select_related(
            "museum_object__current_location__parent",
            "museum_object__lender",
            "exhibition",
            "place__parent",
        ),
        uid=uid,
    )
    request.role_for(Deed.SEE_SHOWING, about_showing(showing))
    return showing


def keep_what_was_seen(form: forms.Form, showing: Showing) -> None:
    """Carry the last journal entry of this page on the form: who comes second is told at sending.

    It is read when the form is first shown; what was sent back stays as it was.
    """
    fields: dict[str, Any] = form.fields
    fields["seen_entry"] = forms.UUIDField(
        required=False, widget=forms.HiddenInput, initial=last_seen(showing)
    )


def showing_address(showing: Showing, part: str = "") -> str:
    """Where the showing's page is; ``part`` is an anchor on it."""
    try:
        address = reverse("showing", args=[showing.uid])
    except NoReverseMatch:
        address = reverse("today")
    return f"{address}#{part}" if part else address


def called(showing: Showing) -> str:
    """Object number and title, as they stand in a heading."""
    thing = showing.museum_object
    return f"{thing.object_number} {thing.title}"


@dataclass(frozen=True, slots=True)
class Cautions:
    """What stands on a form before the work; a page never folds away what is of the object.

    ``own`` are the hazards, the handling and the orientation of the objects, one sentence each;
    ``general`` goes with the work itself, and ``matters`` names what it is about.
    """

    own: tuple[str, ...] = ()
    general: tuple[str, ...] = ()
    matters: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[str]:
        return iter((*self.own, *self.general))

    def __len__(self) -> int:
        return len(self.own) + len(self.general)

    def after(self, first: Iterable[str]) -> "Cautions":
        """The same, with further sentences about these objects before them."""
        return Cautions((*first, *self.own), self.general, self.matters)


def cautions_of(museum_object: MuseumObject, activity: CautionFor) -> Cautions:
    """What the person doing this has to know first, one sentence each."""
    return cautions_of_all([museum_object], activity)


def cautions_of_all(objects: list[MuseumObject], activity: CautionFor) -> Cautions:
    """The same for several objects, with the number where there is more than one."""
    rows: dict[int, list[Hazard]] = {thing.pk: [] for thing in objects}
    found = ObjectHazard.objects.filter(museum_object__in=list(rows), ended_on=None)
    for object_id, hazard in found.values_list("museum_object", "hazard"):
        rows[object_id].append(Hazard(hazard))
    own: list[str] = []
    general: dict[str, str] = {}
    for thing in objects:
        every = cautions_for(rows[thing.pk], activity)
        said = [caution.text for caution in every if caution.hazard is not None]
        if thing.handling_cautions:
            said.append(thing.handling_cautions)
        if thing.orientation_rule != "any":
            said.append(f"Orientation: {thing.get_orientation_rule_display()}.")
        own += [f"{thing.object_number}. {line}" if len(objects) > 1 else line for line in said]
        general |= {c.about: f"{c.about}: {c.text}" for c in every if c.hazard is None}
    return Cautions(tuple(dict.fromkeys(own)), tuple(general.values()), tuple(general))


def last_seen(showing: Showing) -> UUID | None:
    """The last move on record: a page carries it, so that nothing is done twice."""
    return (
        JournalEntry.objects.filter(showing=showing, struck=None)
        .order_by("-pk")
        .values_list("uid", flat=True)
        .first()
    )
