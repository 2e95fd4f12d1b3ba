"""The proposal a page is about, read with everything it names."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import Q
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.timezone import localtime

from lifecycle.pages.display.hands import password_field
from lifecycle.pages.display.seeing import showing_address
from lifecycle.pages.door import SignedInRequest
from lifecycle.process.days import day_words
from lifecycle.process.material_tests import Standing
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import CLOSED
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.queries.treatment.materials import standings
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import Material, MaterialTest, Proposal, ProposalVersion
from lifecycle.records.models.words import Vocabulary, Word


def posted(request: SignedInRequest) -> QueryDict | None:
    """What was sent; an empty sending is one too, a form without fields has nothing to say."""
    return request.POST if request.method == "POST" else None


def about_proposal(proposal: Proposal) -> SubjectFacts:
    if proposal.showing is not None:
        return about_showing(proposal.showing)
    return about_object(proposal.museum_object)


def seen_proposal(request: SignedInRequest, uid: UUID) -> Proposal:
    """The proposal at this address.

    :raises NotAllowed: if this person may not see its object
    """
    proposal: Proposal = get_object_or_404(whole_proposals(Proposal.objects.all()), uid=uid)
    request.role_for(Deed.SEE_SHOWING, about_proposal(proposal))
    return proposal


def seen_version(request: SignedInRequest, uid: UUID) -> tuple[Proposal, ProposalVersion]:
    """The version at this address, out of its whole proposal."""
    found = get_object_or_404(ProposalVersion.objects.select_related("proposal"), uid=uid)
    proposal = seen_proposal(request, found.proposal.uid)
    version = next(v for v in proposal.versions.all() if v.pk == found.pk)
    return proposal, version


def proposal_address(proposal: Proposal) -> str:
    return reverse("proposal", args=[proposal.uid])


def back_of(proposal: Proposal) -> str:
    if proposal.showing is None:
        return reverse("object", args=[proposal.museum_object.uid])
    return showing_address(proposal.showing, "treatment")


class SignForm(forms.Form):
    """The password again, to sign."""

    password = password_field("Your password, to sign")


def words_of(vocabulary: Vocabulary, besides: Word | None = None) -> Any:
    """The words in use; ``besides`` is offered too, though it may be put away by now."""
    in_use = Q(retired_on=None) | Q(pk=besides.pk if besides else None)
    return Word.objects.filter(in_use, vocabulary=vocabulary).order_by("label", "pk")


def faces_of(museum_object: MuseumObject) -> Any:
    return Face.objects.filter(museum_object=museum_object).order_by("order", "pk")


def materials_in_use(besides: Material | None = None) -> Any:
    rows = Material.objects.filter(Q(used_up_on=None) | Q(pk=besides.pk if besides else None))
    return rows.order_by("name", "grade", "batch", "pk")


def open_showing_of(museum_object: MuseumObject) -> Showing | None:
    """The showing of an object that is not over; the one asked for last, if there are several."""
    closed = [stage.value for stage in CLOSED]
    rows = Showing.objects.filter(museum_object=museum_object).exclude(stage__in=closed)
    return rows.order_by("-asked_at", "-pk").first()


MOST_OFFERED = 24


def pictures_of(museum_object: MuseumObject) -> Any:
    """Pictures of an object and of its faces, newest first, as many as one can look through."""
    own = Q(museum_object=museum_object) | Q(face__museum_object=museum_object)
    newest = Picture.objects.filter(own).order_by("-entered_at", "-pk").values("pk")[:MOST_OFFERED]
    rows = Picture.objects.filter(pk__in=list(newest.values_list("pk", flat=True)))
    return rows.select_related("face", "museum_object").order_by("-entered_at", "-pk")


def report_label(report: ConditionReport) -> str:
    """Number, version, kind and day of a signed report."""
    day = f", {day_words(report.examined_at)}" if report.examined_at else ""
    return f"{report}, {report.get_kind_display()}{day}"


def picture_label(picture: Picture) -> str:
    """Face, purpose, light and day of a picture, and its file name."""
    said = [
        picture.face.label if picture.face else "",
        picture.get_purpose_display(),
        picture.get_light_display() if picture.light else "",
        day_words(localtime(picture.taken_at)) if picture.taken_at else "",
        picture.name,
    ]
    return ", ".join(part for part in said if part)


def materials_offered(at: datetime, besides: Material | None = None) -> list[tuple[str, str]]:
    """Return what is in use, by uid; a lapsed or bad test stands beside its name; two queries.

    ``besides``: a batch that is offered though it may be used up by now.
    """
    rows = list(materials_in_use(besides))
    told = standings(rows, museum_day(at))

    def named(one: Material) -> str:
        standing = told.get(one.pk, Standing())
        failed = standing.bad or one.test_state == MaterialTest.FAILED
        beside = "test failed" if failed else "test lapsed" if standing.lapsed else ""
        return f"{one} ({beside})" if beside else str(one)

    return [(str(one.uid), named(one)) for one in rows]


def offer_materials(
    field: Any, offered: list[tuple[str, str]], besides: Material | None = None
) -> None:
    """Let one field offer what ``materials_offered`` read, once for all rows of a form."""
    field.queryset = materials_in_use(besides)
    field.choices = [("", field.empty_label or ""), *offered]
