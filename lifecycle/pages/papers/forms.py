"""Forms of the papers."""

from typing import Any

from django import forms

from lifecycle.actions.papers_out import Return
from lifecycle.pages.fields import ObjectNumberField, day_field
from lifecycle.pages.moments import moment_field
from lifecycle.process.rights import PersonFacts
from lifecycle.queries.papers_out import house_size
from lifecycle.queries.printable import Asked
from lifecycle.queries.readiness import exhibitions_to_choose
from lifecycle.records.base import choices
from lifecycle.records.models import (
    CopyWord,
    Exhibition,
    PaperKind,
    PaperSize,
    Person,
    PrintSize,
    Showing,
    WrittenOff,
)


class AskedForm(forms.Form):
    """What somebody wants papers for."""

    day = day_field("Day", required=False)
    exhibition = forms.ModelChoiceField(
        Exhibition.objects.none(),
        to_field_name="uid",
        required=False,
        empty_label="any",
    )
    museum_object = ObjectNumberField(label="Object number or code", required=False)
    showing = forms.CharField(label="Showing number", required=False, max_length=16)

    def __init__(self, *args: Any, who: PersonFacts, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["exhibition"]
        field.queryset = exhibitions_to_choose(who)  # type: ignore[attr-defined]

    def clean_showing(self) -> Showing | None:
        text = self.cleaned_data["showing"].strip()
        if not text:
            return None
        found = Showing.objects.filter(request_no__iexact=text).first()
        if found is None:
            raise forms.ValidationError(f"No showing has the number “{text}”.")
        return found

    def asked(self) -> Asked:
        """The questions that were answered; a field in error counts as not asked."""
        data = self.cleaned_data if self.is_bound and hasattr(self, "cleaned_data") else {}
        return Asked(
            day=data.get("day"),
            exhibition=data.get("exhibition"),
            museum_object=data.get("museum_object"),
            showing=data.get("showing"),
        )


def ordinary_copy(paper: PaperKind, *, signed: bool) -> CopyWord:
    """The copy that is printed where nobody chooses another."""
    if paper.unsigned:
        return CopyWord.WORKING
    return CopyWord.SIGNED_COPY if signed else CopyWord.TO_SIGN


class PrintForm(forms.Form):
    """Which copy, on which paper, and when it is looked for."""

    copy_word = forms.TypedChoiceField(
        label="Copy",
        choices=choices(CopyWord),
        coerce=CopyWord,
        initial=CopyWord.TO_SIGN.value,
        required=False,
        help_text="A copy to sign is expected back; the others are not.",
    )
    page_size = forms.TypedChoiceField(
        label="Paper",
        choices=[(PaperSize.A4.value, "A4"), (PaperSize.LETTER.value, "US Letter")],
        coerce=PaperSize,
        required=False,
    )
    expected_back_by = day_field(
        "Expected back by",
        required=False,
        help_text="Empty: the day of the work itself, or two weeks for a report.",
    )

    def __init__(self, *args: Any, paper: PaperKind, signed: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = [word for word in CopyWord if signed or word is not CopyWord.SIGNED_COPY]
        if paper.unsigned:
            words.remove(CopyWord.TO_SIGN)
        field = self.fields["copy_word"]
        field.choices = [(word.value, word.label) for word in words]  # type: ignore[attr-defined]
        self.ordinary = ordinary_copy(paper, signed=signed)
        if paper is PaperKind.CONDITION_REPORT and not signed:
            field.help_text = (
                "A report that is whole is printed to be signed as it stands; read back, the hand "
                "signs it. Until then, and as a working copy, it is a form to fill in."
            )
        if paper is PaperKind.MOVEMENT_SLIP:
            field.help_text = "The slip that goes with the object is the copy to sign."
        if paper.is_label:
            stock = self.fields["page_size"]
            stock.choices = choices(PrintSize)  # type: ignore[attr-defined]
            stock.coerce = PrintSize  # type: ignore[attr-defined]
            stock.help_text = (
                "On plain paper the labels stand in their true size with lines to cut along. Laser "
                "print on card or paper; nothing self-adhesive on or in a housing, no ink-jet near "
                "the object."
            )
            del self.fields["copy_word"]
            del self.fields["expected_back_by"]
        elif paper.is_ticket:
            self.fields["page_size"].choices = [  # type: ignore[attr-defined]
                (PaperSize.A4.value, "A5, half of A4"),
                (PaperSize.LETTER.value, "half of US Letter"),
            ]
        if paper.unsigned and not paper.is_label:
            field.help_text = "Nobody signs it, and none is expected back."
            del self.fields["expected_back_by"]

    def clean_copy_word(self) -> CopyWord:
        """A button without the choice prints the ordinary copy."""
        return self.cleaned_data["copy_word"] or self.ordinary

    def clean_page_size(self) -> PaperSize | PrintSize:
        """A button without the choice prints on the house's paper."""
        return self.cleaned_data["page_size"] or PaperSize(house_size())


class BackForm(forms.Form):
    """What stands on the sheets that came back."""

    written_by_name = forms.CharField(
        label="Written by",
        max_length=200,
        help_text="The full name of the person who wrote on the sheet, as it stands there.",
    )
    written_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        required=False,
        empty_label="somebody who is not on the list",
        label="The same person, if on record",
    )
    observed_at = moment_field("Time on the sheet", help_text="When it was seen, not when typed.")
    scan = forms.FileField(
        required=False,
        label="Scan or photograph",
        help_text="PDF, JPEG or PNG, 25 MB at most.",
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,image/jpeg,image/png"}),
    )
    no_scan_because = forms.CharField(label="No scan, because", max_length=200, required=False)
    original_kept_at = forms.CharField(
        label="Where the sheet is filed",
        max_length=120,
        required=False,
        help_text="A sheet signed in ink is the original: say where it lies.",
    )
    note = forms.CharField(label="Note", max_length=300, required=False)
    first_seen = forms.BooleanField(
        label="I have looked at the earlier return; this is another sheet",
        required=False,
    )

    def __init__(self, *args: Any, second: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.order_by("full_name", "pk")
        self.fields["written_by"].queryset = people  # type: ignore[attr-defined]
        if not second:
            del self.fields["first_seen"]

    def details(self) -> Return:
        """The return, with the bytes of the scan read."""
        data = self.cleaned_data
        scan = data.get("scan")
        return Return(
            written_by_name=data["written_by_name"],
            written_by=data.get("written_by"),
            observed_at=data["observed_at"],
            scan=scan.read() if scan else None,
            scan_name=scan.name if scan else "",
            no_scan_because=data.get("no_scan_because", ""),
            original_kept_at=data.get("original_kept_at", ""),
            note=data.get("note", ""),
            first_seen=data.get("first_seen", False),
        )


class WriteOffForm(forms.Form):
    """Lost or void, and why."""

    state = forms.TypedChoiceField(
        label="They are",
        choices=choices(WrittenOff),
        coerce=WrittenOff,
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        label="Why",
        max_length=300,
        help_text="One reason for all of them; it stays on record with your name and role.",
    )
