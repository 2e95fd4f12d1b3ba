"""Which gates one exhibition takes or leaves out, other than the house rules say."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.rules import differ_in
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.rules.gate_forms import DiffersForm
from lifecycle.process.rights import Deed
from lifecycle.process.switches import ALWAYS
from lifecycle.queries.rights import museum_day
from lifecycle.queries.rules import gates_said, said_in, version_in_force
from lifecycle.records.models import Exhibition


@signed_in
def exhibition_gates(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Let one exhibition do otherwise, by the head of collections and with a reason."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    role = request.role_for(Deed.OVERRIDE)
    house = gates_said(version_in_force(museum_day(request.at)))
    form = DiffersForm(request.POST or None, house=house, own=said_in(exhibition))

    def act(data: dict[str, Any]) -> str:
        written = differ_in(
            by=request.person,
            role=role,
            at=request.at,
            exhibition=exhibition,
            said=form.said(),
            why=data["why"],
        )
        if not written:
            return "Nothing was changed."
        count = len(written)
        return f"{count} gate{'' if count == 1 else 's'} of {exhibition.title} changed."

    kept = ", ".join(label for label, _ in ALWAYS)
    page = FormPage(
        title=f"Gates of {exhibition.title}",
        submit="Keep it so",
        back=reverse("exhibition", args=[exhibition.uid]),
        lead=f"Every showing keeps: {kept}. These have no switch.",
    )
    return answer_form(request, form, act, page)
