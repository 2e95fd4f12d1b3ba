"""The one page of an empty house: name the museum and its first steward, with the start's code."""

from difflib import get_close_matches
from typing import Any, Final
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from lifecycle.actions.beginning import begin
from lifecycle.actions.refusals import Refused
from lifecycle.actions.trials import count_wrong, too_many
from lifecycle.pages.door import refusal_to_form
from lifecycle.queries.beginning import code_fits, has_begun
from lifecycle.records.models import PaperSize

ZONES: Final = tuple(sorted(zone for zone in available_timezones() if "/" in zone or zone == "UTC"))


class ZoneInput(forms.TextInput):
    """A text with the browser's own list of zones: typing narrows it, without a script."""

    template_name = "look/zone_input.html"

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context(name, value, attrs)
        return {**context, "zones": ZONES}


class ZoneField(forms.CharField):
    """A time zone by its name or its city alone; a near miss is told what it may have meant."""

    widget = ZoneInput(attrs={"autocomplete": "off", "spellcheck": "false", "list": "zones"})

    def clean(self, value: Any) -> str:
        text = str(super().clean(value) or "").strip().replace(" ", "_")
        known = {zone.lower(): zone for zone in ZONES}
        if text.lower() in known:
            return known[text.lower()]
        near = [zone for low, zone in known.items() if low.rpartition("/")[2] == text.lower()]
        if len(near) == 1:
            return near[0]
        near = near or [known[one] for one in get_close_matches(text.lower(), known, n=3)]
        if not near:
            towns = {low.rpartition("/")[2]: zone for low, zone in known.items()}
            near = [towns[one] for one in get_close_matches(text.lower(), towns, n=3)]
        hint = f" Did you mean {' or '.join(near[:3])}?" if near else ""
        raise forms.ValidationError(f"“{text}” is no time zone, like Europe/London is one.{hint}")


class BeginForm(forms.Form):
    """The code of this start, the museum, and its first steward."""

    code = forms.CharField(
        label="Code of this start",
        max_length=40,
        help_text="Three groups of four letters, in the terminal where Showrest was started.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    museum = forms.CharField(label="Name of the museum", max_length=200)
    zone = ZoneField(
        label="Time zone",
        max_length=64,
        help_text="Type a city or region to narrow the list, like London or Europe. "
        "All days and hours of the museum follow it.",
    )
    paper_size = forms.TypedChoiceField(
        label="Paper size",
        choices=[(PaperSize.A4.value, "A4"), (PaperSize.LETTER.value, "US Letter")],
        coerce=PaperSize,
        widget=forms.RadioSelect,
        help_text="What lies in the museum's printers.",
        error_messages={"required": "Choose one."},
    )
    full_name = forms.CharField(
        label="Your full name",
        max_length=200,
        help_text="You become the first steward. Never only initials: it is read in 30 years.",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    email = forms.EmailField(
        label="Your mail address", required=False, help_text="For the morning letter; removable."
    )
    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="At least 12 letters; not a common word, not only digits, not like your name.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="Password, once more",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_code(self) -> str:
        code = str(self.cleaned_data["code"])
        if too_many("beginning", ""):
            raise forms.ValidationError(
                "Too many wrong codes. Start Showrest again: it gives a new code."
            )
        if not code_fits(code, settings.BEGINNING):
            count_wrong("beginning", "")
            raise forms.ValidationError("This is not the code that this start has printed.")
        return code

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        first, again = data.get("password"), data.get("again")
        if first and again and first != again:
            self.add_error("again", "This is not the same password; type both anew.")
        return data


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def beginning(request: HttpRequest) -> HttpResponse:
    """Ask, write, sign the first steward in; from then on there is no such page."""
    if has_begun():
        raise Http404
    form = BeginForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = {name: form.cleaned_data[name] for name in form.fields if name not in _NOT_KEPT}
        try:
            person = begin(**data, at=now())
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            if person.account is not None:
                login(request, person.account, backend=settings.AUTHENTICATION_BACKENDS[0])
            messages.success(request, f"{data['museum']} has begun, and you are its steward.")
            return redirect("today")
    context = {"form": form, "has_code": bool(settings.BEGINNING)}
    return render(request, "account/beginning.html", context)


_NOT_KEPT: Final = frozenset({"code", "again"})
