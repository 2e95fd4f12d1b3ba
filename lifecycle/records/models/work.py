"""Background work, mails and signs of life: rows are the truth, messages only wake up.

These rows belong to the machine. They have no history: each of them says itself what became of
it, and people change them in three ways only (stop, send again, leave unsent), with their name.
"""

import uuid

from django.db import models
from django.db.models import Q

from lifecycle.process.words import Word
from lifecycle.records.base import choices, one_of
from lifecycle.records.models.people import Person


class WorkKind(Word):
    CHECK_RECORDS = "check_records"
    IMPORT_OBJECTS = "import_objects"
    TAKE_BACK_IMPORT = "take_back_import"
    TAKE_OVER = "take_over"
    ASK_BY_LIST = "ask_by_list"
    BACKUP = "backup"
    OPEN_PACKAGE = "open_package"
    PICTURE_COPIES = "picture_copies"
    IMPORT_LIGHT_LOG = "import_light_log"


class WorkState(Word):
    PREPARING = "preparing"
    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"


class MailState(Word):
    DUE = "due"
    CLAIMED = "claimed"
    HANDED_OVER = "handed_over"
    REFUSED = "refused"
    NOTHING_TO_SAY = "nothing_to_say"
    LEFT_UNSENT = "left_unsent"


class LifeSign(Word):
    WORKER = "worker"
    BEAT = "beat"
    MAIL = "mail"
    BACKUP = "backup"


class Work(models.Model):
    """One piece of background work, done in chunks that can be taken up again.

    ``worker`` and ``lease_until`` say who has it and until when; a worker that dies leaves a
    lease that runs out, and another takes the work up at ``done``.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=24, choices=choices(WorkKind))
    key = models.CharField(max_length=120, unique=True)
    state = models.CharField(max_length=12, choices=choices(WorkState), default="waiting")
    asked_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    asked_at = models.DateTimeField()
    worker = models.CharField(max_length=64, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    doing = models.CharField(max_length=200, blank=True)
    findings = models.JSONField(default=list, blank=True)
    inputs = models.JSONField(
        default=dict,
        blank=True,
        help_text="What was asked for, as plain data; never changed once it is asked for.",
    )
    results = models.JSONField(
        default=dict, blank=True, help_text="What came of it: counts, file names, digests."
    )
    stop_asked_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = models.Manager["Work"]()

    class Meta:
        constraints = [
            one_of("kind", WorkKind, "work_kind_known"),
            one_of("state", WorkState, "work_state_known"),
            models.CheckConstraint(
                condition=~Q(state="running") | Q(lease_until__isnull=False),
                name="work_running_has_lease",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Mail(models.Model):
    """What a letter and a message share: due, claimed, then handed over or refused.

    The claim is committed before the mail server is spoken to. ``claimed`` without an answer means
    that the fate is unknown: such a mail is never sent again by itself.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    state = models.CharField(max_length=16, choices=choices(MailState), default="due")
    subject = models.CharField(max_length=300, blank=True)
    body = models.TextField(blank=True)
    due_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True, blank=True)
    worker = models.CharField(max_length=64, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    answer = models.TextField(blank=True, help_text="What the mail server said, or why it failed.")
    ended_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True


class Letter(Mail):
    """The morning letter of one person on one day of their zone."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="letters")
    day = models.DateField()

    objects = models.Manager["Letter"]()

    class Meta:
        constraints = [
            one_of("state", MailState, "letter_state_known"),
            models.UniqueConstraint(fields=["person", "day"], name="letter_once_a_day"),
            models.CheckConstraint(
                condition=~Q(state="claimed") | Q(claimed_at__isnull=False),
                name="letter_claimed_has_time",
            ),
        ]

    def __str__(self) -> str:
        return f"letter {self.day} (#{self.pk})"


class Message(Mail):
    """One immediate mail to one person about one thing, named by its key."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="messages")
    key = models.CharField(max_length=160)

    objects = models.Manager["Message"]()

    class Meta:
        constraints = [
            one_of("state", MailState, "message_state_known"),
            models.UniqueConstraint(fields=["person", "key"], name="message_once_a_key"),
            models.CheckConstraint(
                condition=~Q(state="claimed") | Q(claimed_at__isnull=False),
                name="message_claimed_has_time",
            ),
        ]

    def __str__(self) -> str:
        return f"message {self.key} (#{self.pk})"


class Heartbeat(models.Model):
    """When a part of the machine was last seen at work."""

    part = models.CharField(max_length=12, choices=choices(LifeSign))
    host = models.CharField(max_length=120)
    seen_at = models.DateTimeField()

    objects = models.Manager["Heartbeat"]()

    class Meta:
        constraints = [
            one_of("part", LifeSign, "heartbeat_part_known"),
            models.UniqueConstraint(fields=["part", "host"], name="heartbeat_once_a_host"),
        ]

    def __str__(self) -> str:
        return f"{self.part} on {self.host}"
