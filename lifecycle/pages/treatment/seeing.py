"""The proposal a page is about, read with everything it names."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.pages.display.hands import password_field
from lifecycle.pages.display.seeing import showing_address
from lifecycle.pages.door import SignedInRequest
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.treatment import Material, Proposal, ProposalVersion
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


def words_of(vocabulary: Vocabulary) -> Any:
    return Word.objects.filter(vocabulary=vocabulary, retired_on=None).order_by("label", "pk")


def faces_of(museum_object: MuseumObject) -> Any:
    return Face.objects.filter(museum_object=museum_object).order_by("order", "pk")


def materials_in_use() -> Any:
    return Material.objects.filter(used_up_on=None).order_by("name", "grade", "batch", "pk")
