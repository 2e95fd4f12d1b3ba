"""The two who stand at the case: fields for both hands, and how they become signatures."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, ClassVar

from django import forms
from django.conf import settings
from django.db import transaction
from django.utils.functional import lazy

from lifecycle.actions.pictures import store_document
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, on_paper, prove, with_account
from lifecycle.exchange.demo_data import demo_password
from lifecycle.pages.door import SignedInRequest
from lifecycle.pages.moments import moment_field
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.display.meters import MeterKit, meter_kit
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.records.models import Instrument, Person, Place, ReadingPoint

IN_ORDER = (Role.CONSERVATOR, Role.TECHNICIAN, Role.REGISTRAR)


def _demo_word() -> str:
    """In the demo one signs in by a click, so the field has to say what it asks for."""
    if settings.DEMO:
        return f"In the demo everybody’s is: {demo_password()}"
    return "Without a password here: the code of your second step." if settings.SSO else ""


def password_field(label: str, *, required: bool = True, help_text: str = "") -> forms.CharField:
    """The password again, to sign; never filled in, never sent back."""
    return forms.CharField(
        label=label,
        required=required,
        help_text=help_text or lazy(_demo_word, str)(),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )


class HandsForm(forms.Form):
    """Both sign: the one at the screen, and the second with their own password or on paper."""

    second_person = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Second person",
        help_text="One of the two is a conservator.",
    )
    password = password_field("Your password, to sign")
    second_password = password_field("The second person's password", required=False)
    second_scan = forms.FileField(
        label="Or the sheet the second person signed",
        required=False,
        help_text="Scan or photograph, when they sign on paper.",
    )
    second_signed_at = moment_field("Time on that sheet", required=False)

    def ask_whom(self, request: SignedInRequest) -> None:
        """Offer the people who hold a post for it today, without the one at the screen."""
        fields: dict[str, Any] = self.fields
        able = [p.pk for p in people_with_hands(museum_day(request.at))]
        fields["second_person"].queryset = (
            Person.objects.filter(pk__in=able)
            .exclude(pk=request.person.pk)
            .order_by("full_name", "pk")
        )
        self.order_fields([name for name in self.fields if name not in HandsForm.base_fields])


def role_in_hand(facts: PersonFacts, about: SubjectFacts, deed: Deed = Deed.HANDLE) -> Role | None:
    """The role in which this person puts hands on the object, a conservator's first."""
    return next((role for role in IN_ORDER if may(facts, deed, about, role)), None)


@contextmanager
def hands_of(
    request: SignedInRequest, data: dict[str, Any], about: SubjectFacts
) -> Iterator[tuple[Hand, Hand]]:
    """The two hands as the form gives them; what they sign is done inside the block.

    It is one transaction with the scan of a signed sheet, which is kept with what it signs or not
    at all. A password is checked before it begins, since that takes most of a second.

    :raises NotAllowed: the person at the screen may not handle this object
    :raises Refused: the second person may not, or the paper is no scan
    """
    role = role_in_hand(request.facts, about) or request.role_for(Deed.HANDLE, about)
    one = with_account(person=request.person, role=role, password=data["password"])
    second: Person = data["second_person"]
    second_role = role_in_hand(person_facts(second, request.at), about)
    if second_role is None:
        text = (
            f"{second.full_name} has no post for this gallery and is not named for this object: "
            "plan a day with their name, or name somebody else."
        )
        raise Refused(Reason(text, "second_person", "people.second"))
    sheet = data.get("second_scan")
    other = None
    if sheet is None:
        password = data.get("second_password", "")
        other = _proved(with_account(person=second, role=second_role, password=password), request)
    with transaction.atomic():
        if other is None:
            other = _proved(_on_sheet(request, data, second, second_role, role), request)
        yield one, other


def _proved(second: Hand, request: SignedInRequest) -> Hand:
    """The second person's hand, proved; what is against it stands beside their own fields."""
    try:
        return prove(second, at=request.at)
    except Refused as refused:
        faults = [replace(fault, field=f"second_{fault.field}") for fault in refused.reasons]
        raise Refused(faults) from refused


def _on_sheet(
    request: SignedInRequest, data: dict[str, Any], second: Person, second_role: Role, role: Role
) -> Hand:
    """The second person's hand on the sheet that was sent."""
    sheet = data["second_scan"]
    scan = store_document(
        data=sheet.read(),
        name=sheet.name,
        title=f"Sheet signed by {second.full_name}",
        by=request.person,
        role=role,
        at=request.at,
        field="second_scan",
    )
    return on_paper(
        person=second,
        role=second_role,
        scan=scan,
        read_back_by=request.person,
        signed_at=data.get("second_signed_at"),
    )


class NeededToClose(forms.Form):
    """Some fields are needed to close a check and may be empty while it stays open.

    They read as needed on the page; what is missing is said by the action, all of it at once.
    """

    needed: ClassVar[tuple[str, ...]] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._say_needed(True)

    def full_clean(self) -> None:
        self._say_needed(False)
        super().full_clean()
        self._say_needed(True)

    def _say_needed(self, needed: bool) -> None:
        for name in self.needed:
            self.fields[name].required = needed


class MeterFields(forms.Form):
    """What the meter showed at the object's own point, lamps in show state."""

    #: The fields in the order in which they are filled, for the order of a whole form.
    meter_order: ClassVar = ("lux", "uv", "point", "meter", "sure")
    lux = forms.DecimalField(
        label="Illuminance [lx]",
        required=False,
        min_value=0,
        max_digits=7,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.1"}),
    )
    uv = forms.DecimalField(
        label="UV [µW/lm]",
        required=False,
        min_value=0,
        max_digits=7,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.1"}),
    )
    point = forms.ModelChoiceField(
        ReadingPoint.objects.none(), to_field_name="uid", label="Reading point", required=False
    )
    meter = forms.ModelChoiceField(
        Instrument.objects.none(), to_field_name="uid", label="Meter", required=False
    )
    sure = forms.BooleanField(label="I looked again: an odd value stands as it is", required=False)

    def offer_meters(self, place: Place | None, kit: MeterKit | None = None) -> None:
        """Offer the meters in use and the points of the place; a single one is taken at once.

        :param kit: read before for several forms on one page
        """
        fields: dict[str, Any] = self.fields
        kit = kit or meter_kit([place] if place else [])
        points, meters = kit.points_of(place), kit.meters
        fields["point"].queryset = ReadingPoint.objects.filter(retired_on=None)
        fields["meter"].queryset = Instrument.objects.filter(retired_on=None)
        fields["point"].choices = [
            ("", "none"),
            *((str(point.uid), f"{point.letter} {point.label}") for point in points),
        ]
        fields["meter"].choices = [
            ("", "none"),
            *((str(meter.uid), str(meter)) for meter in meters),
        ]
        for name, offered in (("point", points), ("meter", meters)):
            if len(offered) == 1:
                self.initial.setdefault(name, offered[0].uid)


def photo_field(label: str, *, required: bool = False, help_text: str = "") -> forms.FileField:
    """A photograph from the phone's camera or a file."""
    return forms.FileField(
        label=label,
        required=required,
        help_text=help_text,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
