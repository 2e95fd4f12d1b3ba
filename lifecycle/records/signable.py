"""Records that are signed: once the digest stands, no column changes and no part moves."""

from typing import ClassVar

from django.db import models

DIGEST_LENGTH = 64


class Signable(models.Model):
    """A record with signed words; stands beside ``Kept`` in the bases of a model.

    ``digest`` is the SHA-256, in lower-case hexadecimal, of ``signed_text`` in UTF-8. Both are
    written by ``lifecycle.actions.signing`` and nowhere else. Rows that belong to the signed words
    name their foreign key to it in ``frozen_with``.
    """

    freezes_whole: ClassVar[bool] = True  # read by records/triggers.py

    signed_at = models.DateTimeField(null=True, blank=True, editable=False)
    digest = models.CharField(max_length=DIGEST_LENGTH, blank=True, default="", editable=False)
    signed_text = models.TextField(blank=True, default="", editable=False)

    class Meta:
        abstract = True

    @property
    def signed(self) -> bool:
        return self.digest != ""


def signable_constraints(name: str) -> list[models.BaseConstraint]:
    """The constraints of a signable table: digest, words and moment come together or not at all."""
    unsigned = models.Q(digest="", signed_text="", signed_at__isnull=True)
    signed = models.Q(signed_at__isnull=False) & ~models.Q(digest="") & ~models.Q(signed_text="")
    return [models.CheckConstraint(condition=unsigned | signed, name=f"{name}_signed_whole")]
