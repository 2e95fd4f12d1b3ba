"""The treatment report: what was done, what was not, what follows; signed, then frozen."""

from django.db import models
from django.db.models import F, Q

from lifecycle.records.base import Kept, KeptManager, kept_history
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment.proposals import Proposal


class TreatmentReport(Kept):
    """One version of the report on one proposal; a correction is a new version."""

    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="reports")
    version = models.PositiveSmallIntegerField(default=1)
    edition = models.PositiveIntegerField("times saved", default=1)
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    summary = models.TextField("what was done, in plain words", blank=True)
    not_done = models.TextField("what was left undone, and why", blank=True)
    remaining_risks = models.TextField(blank=True)
    new_limits = models.TextField("new limits for handling and display", blank=True)
    callback_on = models.DateField("look again on", null=True, blank=True)
    removed_kept_where = models.TextField("where removed matter is kept", blank=True)
    after_check = models.ForeignKey(
        ConditionReport, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    second_reader_asked = models.BooleanField(default=False)
    signed_at = models.DateTimeField(null=True, blank=True)
    digest = models.CharField(max_length=64, blank=True)
    signature = models.ForeignKey(
        Signature, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    second_reader = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    second_signature = models.ForeignKey(
        Signature, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    correction_why = models.TextField("what this version corrects, and why", blank=True)

    objects = KeptManager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["proposal", "version"], name="treatment_report_version_once"
            ),
            models.UniqueConstraint(
                fields=["proposal"],
                condition=Q(signed_at__isnull=True),
                name="treatment_report_one_draft",
            ),
            models.CheckConstraint(
                condition=Q(signed_at__isnull=True)
                | (
                    ~Q(summary="")
                    & ~Q(not_done="")
                    & ~Q(remaining_risks="")
                    & ~Q(new_limits="")
                    & ~Q(digest="")
                    & Q(signature__isnull=False)
                ),
                name="treatment_report_signed_is_complete",
            ),
            models.CheckConstraint(
                condition=Q(version=1) | ~Q(correction_why=""),
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

    report = models.ForeignKey(TreatmentReport, on_delete=models.PROTECT, related_name="pairs")
    face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="+")
    before = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    after = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")

    objects = KeptManager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "face"], name="face_pictures_once"),
            models.CheckConstraint(
                condition=~Q(before=F("after")), name="face_pictures_are_two"
            ),
        ]

    def __str__(self) -> str:
        return f"pictures of {self.face_id} (#{self.pk})"
