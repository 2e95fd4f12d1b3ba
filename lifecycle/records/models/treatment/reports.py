"""The treatment report: what was done, what was not, what follows; signed, then frozen."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.records.base import Kept, KeptQuerySet, kept_history
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.treatment.proposals import Proposal
from lifecycle.records.signable import Signable, signable_constraints


class TreatmentReport(Signable, Kept):
    """One version of the report on one proposal; a correction is a new version.

    A second reader signs beside the author: a later row of ``Signature``.
    """

    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="reports")
    version = models.PositiveSmallIntegerField(default=1)
    edition = models.PositiveIntegerField("times saved", default=1)
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    summary = models.TextField("what was done, in plain words", blank=True)
    not_done = models.TextField("what was left undone, and why", blank=True)
    remaining_risks = models.TextField(blank=True)
    new_limits = models.TextField("new limits for handling and display", blank=True)
    housing_advice = models.TextField("advice for the housing", blank=True)
    take_off = models.TextField("how what was put on can be taken off again", blank=True)
    not_pictured = models.TextField("faces that could not be pictured, and why", blank=True)
    callback_on = models.DateField("look again on", null=True, blank=True)
    removed_kept_where = models.TextField("where removed matter is kept", blank=True)
    after_check = models.ForeignKey(
        ConditionReport, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    second_reader_asked = models.BooleanField(default=False)
    second_reader = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )
    correction_why = models.TextField("what this version corrects, and why", blank=True)

    objects = KeptQuerySet["TreatmentReport"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            *signable_constraints("treatmentreport"),
            models.UniqueConstraint(
                fields=["proposal", "version"], name="treatment_report_version_once"
            ),
            models.UniqueConstraint(
                fields=["proposal"],
                condition=Q(digest=""),
                name="treatment_report_one_draft",
            ),
            models.CheckConstraint(
                condition=Q(digest="")
                | (
                    ~Q(summary="")
                    & ~Q(not_done="")
                    & ~Q(remaining_risks="")
                    & ~Q(new_limits="")
                    & Q(after_check__isnull=False)
                ),
                name="treatment_report_signed_is_complete",
            ),
            models.CheckConstraint(
                condition=Q(version=1, corrects__isnull=True)
                | (Q(version__gt=1, corrects__isnull=False) & ~Q(correction_why="")),
                name="treatment_report_correction_says_why",
            ),
            models.CheckConstraint(
                condition=Q(second_reader__isnull=True) | ~Q(second_reader=F("author")),
                name="treatment_report_second_reader_is_another",
            ),
        ]

    def __str__(self) -> str:
        return f"report v{self.version} on {self.proposal_id} (#{self.pk})"


class FacePictures(Kept):
    """The pictures before and after treatment of one face, in the same light."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(TreatmentReport, on_delete=models.PROTECT, related_name="pairs")
    face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="+")
    before = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    after = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")

    objects = KeptQuerySet["FacePictures"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "face"], name="face_pictures_once"),
            models.CheckConstraint(condition=~Q(before=F("after")), name="face_pictures_are_two"),
        ]

    def __str__(self) -> str:
        return f"pictures of {self.face_id} (#{self.pk})"
