"""What somebody has laid aside on their own first page; the task itself is never stored."""

from typing import Final

from django.db import models
from django.db.models import Q

from lifecycle.process.duties.duty import Band
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet

LONGEST_KEY: Final = 300


class PutBy(AppendOnly):
    """A person saw a task and wants quiet about it; the newest row of a task counts.

    ``band`` is how pressing it was then: once it presses more it speaks again. Without ``until`` it
    was only seen; ``back`` takes an earlier row back.
    """

    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="put_by")
    key = models.CharField(max_length=LONGEST_KEY)
    at = models.DateTimeField()
    band = models.PositiveSmallIntegerField()
    until = models.DateField(null=True, blank=True)
    back = models.BooleanField(default=False)

    objects = AppendOnlyQuerySet["PutBy"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["person", "key"], name="put_by_person_key")]
        constraints = [
            models.CheckConstraint(
                condition=Q(band__gt=Band.HARD_OVERDUE, band__lte=Band.LATER),
                name="put_by_never_what_is_stopped",
            ),
            models.CheckConstraint(
                condition=Q(back=False) | Q(until=None), name="put_by_back_has_no_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} put by"
