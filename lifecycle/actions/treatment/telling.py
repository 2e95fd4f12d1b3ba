"""Tell curator and lender of an emergency, the same day, in the same transaction."""

from datetime import datetime

from django.conf import settings
from django.db.models import Q
from django.urls import reverse

from lifecycle.actions.work.alarms import hazard_words
from lifecycle.actions.work.messages import tell
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import TreatmentStep


def people_to_tell(step: TreatmentStep, at: datetime) -> list[Person]:
    """Return the curators of the exhibition, and for a loan its lender and the registrars.

    The registrars too where a source community has to be told.
    Without a showing the head of collections stands in for the curators.
    """
    day = museum_day(at)
    live = Q(roles__from_on__lte=day) & (Q(roles__until_on=None) | Q(roles__until_on__gte=day))
    wanted = Q(roles__role=Role.HEAD_OF_COLLECTIONS) & live
    if step.showing is not None and step.showing.exhibition.curators.exists():
        wanted = Q(curates=step.showing.exhibition_id)
    if step.museum_object.source_community:
        wanted |= Q(roles__role=Role.REGISTRAR) & live
    if step.museum_object.owner_kind == OwnerKind.LENDER:
        wanted |= Q(
            passes__role=Role.LENDER,
            passes__museum_objects=step.museum_object_id,
            passes__from_on__lte=day,
            passes__until_on__gte=day,
        )
        wanted |= Q(roles__role=Role.REGISTRAR) & live
    return list(Person.objects.filter(wanted).distinct().order_by("pk"))


def tell_of_emergency(*, step: TreatmentStep, at: datetime) -> None:
    """Write one message to each of them; the morning letter is too late for this."""
    number = step.museum_object.object_number
    loan = step.museum_object.owner_kind == OwnerKind.LENDER
    body = (
        f"{step.observed_by.full_name} logged an emergency step without consent on "
        f"{number}, {step.museum_object.title}.\n\n"
        f"Step: {step.step.label}\n"
        f"Why it could not wait: {step.emergency_reason}\n"
        f"Result: {step.result}\n\n"
        "The record shows the flag for ever. Look at the step under Treatment.\n"
    )
    if loan:
        body += "\nThis object is on loan: the lender has to be told today as well.\n"
    if community := step.museum_object.source_community:
        body += f"\n{community} is asked before any treatment of it: tell them today as well.\n"
    page, about = ("showing", step.showing) if step.showing else ("object", step.museum_object)
    body = (
        f"{body.rstrip()}{hazard_words([step.museum_object_id])}\n\n"
        f"{settings.SITE_URL}{reverse(page, args=[about.uid])}\n\n"
        "You get this at once because treatment without consent is told on the same day to whoever "
        "would have been asked, and to whoever has to tell others.\n"
        "Showrest records and reminds. A conservator decides.\n"
    )
    for person in people_to_tell(step, at):
        tell(
            person=person,
            key=f"treatment/emergency/{step.uid}",
            subject=f"Emergency treatment: {number}",
            body=body,
            at=at,
        )
