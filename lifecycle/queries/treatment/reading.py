"""How proposals are read with everything a consent question needs, in a fixed count of queries."""

from typing import Any

from django.db.models import Prefetch, QuerySet

from lifecycle.queries.treatment.card_then import with_card_then
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import (
    Consent,
    ConsentExclusion,
    DeviationConsent,
    FacePictures,
    PlannedStep,
    Proposal,
    ProposalMaterial,
    ProposalOption,
    ProposalVersion,
    TreatmentReport,
    TreatmentStep,
)


def with_consents(
    versions: QuerySet[ProposalVersion, Any],
) -> QuerySet[ProposalVersion, Any]:
    """Versions with object, plan and every decision on them."""
    exclusions = ConsentExclusion.objects.select_related("step", "face").order_by("pk")
    consents = (
        Consent.objects.select_related(
            "person", "for_person", "entered_by", "signature__scan", "signature__read_back_by"
        )
        .prefetch_related(Prefetch("exclusions", exclusions))
        .order_by("decided_at", "pk")
    )
    planned = PlannedStep.objects.filter(left_out=False).select_related("step", "face")
    materials = ProposalMaterial.objects.filter(left_out=False).select_related("material")
    known = with_card_then(versions)
    return known.select_related("proposal__museum_object__lender", "based_on").prefetch_related(
        Prefetch("consents", consents),
        Prefetch("steps", planned.order_by("order", "pk")),
        Prefetch("materials", materials.order_by("pk")),
    )


def whole_proposals(proposals: QuerySet[Proposal, Any]) -> QuerySet[Proposal, Any]:
    """Proposals with versions, consents, steps, deviations and reports."""
    decisions = DeviationConsent.objects.select_related("person", "for_person")
    steps = (
        TreatmentStep.objects.select_related(
            "step",
            "material",
            "face",
            "feature",
            "observed_by",
            "entered_by",
            "version",
            "standing",
            "corrects",
            "medium_test",
        )
        .prefetch_related(
            Prefetch("decisions", decisions.order_by("decided_at", "pk")),
            "pictures__picture",
            "corrected_by",
            "findings__feature__face",
            "findings__picture",
        )
        .order_by("observed_at", "pk")
    )
    pairs = FacePictures.objects.select_related("face", "before", "after").order_by(
        "face__order", "pk"
    )
    reports = (
        TreatmentReport.objects.select_related("author", "second_reader", "after_check")
        .prefetch_related(Prefetch("pairs", pairs))
        .order_by("version")
    )
    return proposals.select_related(
        "museum_object__lender", "showing__exhibition", "opened_by"
    ).prefetch_related(
        Prefetch("versions", with_consents(ProposalVersion.objects.order_by("version"))),
        Prefetch("steps", steps),
        Prefetch("reports", reports),
    )


def options_of(version: ProposalVersion) -> list[ProposalOption]:
    """The options in use, in their order."""
    return list(
        ProposalOption.objects.filter(version=version, left_out=False).order_by("order", "pk")
    )


def reports_to_rest_on(proposal: Proposal) -> QuerySet[ConditionReport, Any]:
    """Signed condition reports of the object, youngest first."""
    return (
        ConditionReport.objects.filter(museum_object=proposal.museum_object)
        .exclude(digest="")
        .order_by("-examined_at", "-pk")
    )


def housing_advice(museum_object: MuseumObject) -> TreatmentReport | None:
    """The last signed treatment report of an object that advises on its housing; one query."""
    return (
        TreatmentReport.objects.filter(proposal__museum_object=museum_object)
        .exclude(digest="")
        .exclude(housing_advice="")
        .select_related("proposal")
        .defer("signed_text")
        .order_by("-signed_at", "-pk")
        .first()
    )
