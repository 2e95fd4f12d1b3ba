"""What there is to print of treatments: proposals that were sent, and treatment reports."""

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet

from lifecycle.queries.printable import LIST_LIMIT, Asked, Printable
from lifecycle.records.models import MuseumObject, PaperKind, ProposalVersion, TreatmentReport


def proposals(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    """Versions that were sent, of proposals that still run; all of one that was named."""
    if asked.day is not None:
        return
    rows = ProposalVersion.objects.filter(
        proposal__museum_object__in=objects, proposal__dropped_at=None
    ).exclude(digest="")
    if not asked.about_something:
        reported = TreatmentReport.objects.exclude(digest="").values("proposal")
        rows = rows.exclude(proposal__in=reported)
    if asked.museum_object is not None:
        rows = rows.filter(proposal__museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        rows = rows.filter(asked.of_showings("proposal__showing__"))
    rows = rows.select_related("proposal__museum_object").order_by("-signed_at", "-pk")
    for row in rows[:LIST_LIMIT]:
        yield Printable(
            paper=PaperKind.TREATMENT_PROPOSAL,
            uid=row.uid,
            number=f"{row.proposal.proposal_no} version {row.version}",
            objects=(row.proposal.museum_object.object_number,),
            what=row.get_aim_display(),
            day=None,
            printed=0,
        )


def treatment_reports(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    """Drafts to be signed; signed reports too when an object or showing is named."""
    if asked.day is not None:
        return
    rows = TreatmentReport.objects.filter(proposal__museum_object__in=objects)
    if not (asked.museum_object or asked.showing):
        rows = rows.filter(digest="")
    if asked.museum_object is not None:
        rows = rows.filter(proposal__museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        rows = rows.filter(asked.of_showings("proposal__showing__"))
    rows = rows.select_related("proposal__museum_object").defer("signed_text").order_by("-pk")
    for row in rows[:LIST_LIMIT]:
        yield Printable(
            paper=PaperKind.TREATMENT_REPORT,
            uid=row.uid,
            number=f"{row.proposal.proposal_no} version {row.version}",
            objects=(row.proposal.museum_object.object_number,),
            what=f"treatment report, {'signed' if row.signed else 'draft'}",
            day=None,
            printed=0,
            signed=row.signed,
        )
