"""Papers that left the printer: one row each, with the words they carry, and what became of them.

A print is written once and never changed, so that drawing it again gives the same sheet. That it
came back, was lost or is void stands in rows of its own.
"""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.process.words import Word
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, Coded, choices, one_of


class PaperKind(Word):
    """What was printed; the values are names of our own, the labels the trade's."""

    CONDITION_REPORT = "condition_report"
    TURN_INSTRUCTION = "turn_instruction"
    DEINSTALL_FORM = "deinstall_form"
    MOVEMENT_SLIP = "movement_slip"
    OBJECT_LIST = "object_list"
    LIGHT_STATEMENT = "light_statement"
    READING_SHEET = "reading_sheet"
    CASE_CONDITIONS = "case_conditions"
    INCIDENT_REPORT = "incident_report"
    OBJECT_TAG = "object_tag"
    HOUSING_LABEL = "housing_label"
    MOUNT_LABEL = "mount_label"
    FACSIMILE_LABEL = "facsimile_label"
    TREATMENT_PROPOSAL = "treatment_proposal"
    MOUNT_TICKET = "mount_ticket"
    IMAGING_TICKET = "imaging_ticket"
    TREATMENT_REPORT = "treatment_report"

    @property
    def label(self) -> str:
        return "de-install form" if self is PaperKind.DEINSTALL_FORM else super().label

    @property
    def unsigned(self) -> bool:
        """Whether nobody signs it, so that none is expected back."""
        listed = self in (PaperKind.OBJECT_LIST, PaperKind.CASE_CONDITIONS)
        return self.is_label or self.is_ticket or listed

    @property
    def is_label(self) -> bool:
        """Whether it is cut out or printed on card, and stays with what it names."""
        return self in (
            PaperKind.OBJECT_TAG,
            PaperKind.HOUSING_LABEL,
            PaperKind.MOUNT_LABEL,
            PaperKind.FACSIMILE_LABEL,
        )

    @property
    def is_ticket(self) -> bool:
        """Whether it is half a sheet that travels with an object."""
        return self in (PaperKind.MOUNT_TICKET, PaperKind.IMAGING_TICKET)


class PrintSize(Word):
    """What lies in the printer: plain paper, or card for labels."""

    A4 = "a4"
    LETTER = "letter"
    CARD = "card"
    A4_EIGHT = "a4_eight"

    @property
    def label(self) -> str:
        return {
            "a4": "A4, plain paper",
            "letter": "US Letter, plain paper",
            "card": "card of the label’s own size",
            "a4_eight": "A4 card in eight parts of 105 × 74 mm",
        }[self.value]


class CopyWord(Word):
    """Whom a copy is for; it stands at the foot of every page."""

    WORKING = "working"
    TO_SIGN = "to_sign"
    SIGNED_COPY = "signed_copy"
    FOR_COURIER = "for_courier"
    FOR_LENDER = "for_lender"


class WrittenOff(Word):
    LOST = "lost"
    VOID = "void"


class Print(Coded, AppendOnly):
    """One printed paper: number, version, page stamp, and its words as data."""

    print_no = models.CharField("print number", max_length=16, unique=True)
    paper = models.CharField(max_length=20, choices=choices(PaperKind))
    record_kind = models.CharField(max_length=40)
    record_uid = models.UUIDField(db_index=True)
    record_no = models.CharField("record number", max_length=24)
    record_version = models.PositiveIntegerField("record version")
    digest = models.CharField(max_length=64, help_text="SHA-256 over the plain text printed.")
    pages = models.PositiveSmallIntegerField()
    copy_word = models.CharField("copy", max_length=12, choices=choices(CopyWord))
    words = models.JSONField(help_text="What the paper says, as data; it is drawn from here.")
    page_size = models.CharField(max_length=8, choices=choices(PrintSize))
    zone = models.CharField(max_length=64, help_text="The zone of the times on the paper.")
    address = models.CharField(max_length=300, help_text="What the QR code holds.")
    place = models.ForeignKey(
        "records.Place",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="papers_out",
        help_text="Where the paper is carried to.",
    )
    printed_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    printed_role = models.CharField(max_length=24, choices=choices(Role))
    printed_at = models.DateTimeField(db_index=True)
    expected_back = models.BooleanField(default=False)
    expected_back_by = models.DateField(null=True, blank=True)

    objects = AppendOnlyQuerySet["Print"].as_manager()

    class Meta:
        constraints = [
            one_of("paper", PaperKind, "print_paper_known"),
            one_of("copy_word", CopyWord, "print_copy_known"),
            one_of("page_size", PrintSize, "print_size_known"),
            one_of("printed_role", Role, "print_role_known"),
            models.CheckConstraint(condition=Q(pages__gte=1), name="print_has_pages"),
            models.CheckConstraint(
                condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="print_digest_whole"
            ),
            models.CheckConstraint(
                condition=Q(expected_back=False, expected_back_by=None)
                | (
                    Q(expected_back=True, expected_back_by__isnull=False)
                    & (Q(copy_word=CopyWord.TO_SIGN) | Q(paper=PaperKind.MOVEMENT_SLIP))
                ),
                name="print_expected_only_to_sign_or_slip",
            ),
        ]

    def __str__(self) -> str:
        return self.print_no

    @property
    def page_stamp(self) -> str:
        """Version and digest as they stand at the foot of each page."""
        return f"version {self.record_version} · {self.digest[:5]} {self.digest[5:10]}"


class PrintAbout(AppendOnly):
    """One object a print is about, with the showing it belongs to, if any."""

    print = models.ForeignKey(Print, on_delete=models.PROTECT, related_name="about")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="prints"
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="prints",
    )

    objects = AppendOnlyQuerySet["PrintAbout"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["print", "museum_object"], name="print_about_once")
        ]

    def __str__(self) -> str:
        return f"about (#{self.pk})"


class PrintReturn(AppendOnly):
    """A print that came back: who wrote on it and when, and the scan of it.

    The second return of one print stands beside the first; neither replaces the other.
    """

    print = models.ForeignKey(Print, on_delete=models.PROTECT, related_name="returns")
    nth = models.PositiveSmallIntegerField()
    written_by_name = models.CharField("written by", max_length=200)
    written_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    observed_at = models.DateTimeField("time on the sheet")
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_role = models.CharField(max_length=24, choices=choices(Role))
    entered_at = models.DateTimeField()
    scan = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    no_scan_because = models.CharField(max_length=200, blank=True, default="")
    original_kept_at = models.CharField(
        max_length=120, blank=True, default="", help_text="Where the sheet itself is filed."
    )
    note = models.CharField(max_length=300, blank=True, default="")
    written = models.JSONField(
        "what stands on the sheet",
        default=list,
        blank=True,
        help_text="Each question in the order of the paper, with its answer; empty: not ticked.",
    )
    taken = models.JSONField(
        "what became of it",
        default=list,
        blank=True,
        help_text="Each line that was to go into the record, what the record said, which stands.",
    )

    objects = AppendOnlyQuerySet["PrintReturn"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["print", "nth"], name="print_return_nth_once"),
            models.CheckConstraint(condition=Q(nth__gte=1), name="print_return_counted"),
            models.CheckConstraint(condition=~Q(written_by_name=""), name="print_return_named"),
            one_of("entered_role", Role, "print_return_role_known"),
            models.CheckConstraint(
                condition=Q(scan__isnull=False, no_scan_because="")
                | (Q(scan=None) & ~Q(no_scan_because="")),
                name="print_return_scan_or_reason",
            ),
            models.CheckConstraint(
                condition=Q(observed_at__lte=F("entered_at")), name="print_return_seen_before_typed"
            ),
        ]

    def __str__(self) -> str:
        return f"return {self.nth} (#{self.pk})"


class PrintWriteOff(AppendOnly):
    """A print that will not come back: lost or void, with a reason; once a print."""

    print = models.OneToOneField(Print, on_delete=models.PROTECT, related_name="write_off")
    state = models.CharField(max_length=8, choices=choices(WrittenOff))
    reason = models.CharField(max_length=300)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["PrintWriteOff"].as_manager()

    class Meta:
        constraints = [
            one_of("state", WrittenOff, "print_write_off_known"),
            one_of("role", Role, "print_write_off_role_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="print_write_off_because"),
        ]

    def __str__(self) -> str:
        return f"{self.state} (#{self.pk})"
