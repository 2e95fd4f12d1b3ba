"""Signatures: who, in which role and capacity, of exactly which version, and its digest."""

from django.db import models
from django.db.models import Q

from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity, SignMethod
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of


class Signature(AppendOnly):
    """Written once. ``record_kind`` names an entry of the signed-text register."""

    person = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="signatures"
    )
    role = models.CharField(max_length=24, choices=choices(Role))
    capacity = models.CharField(max_length=16, choices=choices(SignCapacity))
    method = models.CharField(max_length=12, choices=choices(SignMethod))
    at = models.DateTimeField()
    entered_at = models.DateTimeField()
    record_kind = models.CharField(max_length=40)
    record_uid = models.UUIDField(db_index=True)
    record_version = models.PositiveIntegerField(default=1)
    digest = models.CharField(max_length=64)
    scan = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    read_back_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    note = models.CharField(max_length=200, blank=True)

    objects = AppendOnlyQuerySet["Signature"].as_manager()

    class Meta:
        constraints = [
            one_of("role", Role, "signature_role_known"),
            one_of("capacity", SignCapacity, "signature_capacity_known"),
            one_of("method", SignMethod, "signature_method_known"),
            models.CheckConstraint(
                condition=~Q(method=SignMethod.ON_PAPER)
                | (Q(scan__isnull=False) & Q(read_back_by__isnull=False)),
                name="signature_on_paper_has_its_scan",
            ),
            models.UniqueConstraint(
                fields=["record_uid", "record_version", "person", "capacity"],
                name="signature_once_a_capacity",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.capacity} (#{self.pk})"
