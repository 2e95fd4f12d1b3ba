"""One form on one page: shown, read, handed to one action; refusals stand beside their fields."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django import forms
from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from lifecycle.actions.refusals import Conflict, Refused
from lifecycle.pages.door import SignedInRequest, refusal_to_form
from lifecycle.pages.errors import conflict_page
from lifecycle.process.rights import NOTHING, Deed, SubjectFacts
from lifecycle.process.stages import Role

#: A request with this header saves what is written so far; it is answered in JSON.
SAVED_BY_ITSELF: Final = "X-Saved-By-Itself"


@dataclass(frozen=True, slots=True)
class Done:
    """What to say once a form has acted, and the address to go to instead of ``FormPage.back``."""

    said: str
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormPage:
    """The words around a form; ``draft`` keeps what is typed in the browser until it is sent.

    ``again`` is a second button for forms that come many at a time: ``act`` finds it in the POST
    under the name ``again`` and answers with the address of the next one.

    With ``version``, which tells the version that stands after saving, each field is also saved
    by itself while one writes (``drafts.js``), by the same action as the whole form.
    """

    title: str
    submit: str
    back: str
    again: str = ""
    lead: str = ""
    draft: str = ""
    cautions: Iterable[str] = ()
    template: str = "look/form.html"
    version: Callable[[], int] | None = None
    more: dict[str, Any] = field(default_factory=dict)

    @property
    def saves_itself(self) -> bool:
        return self.version is not None


def answer_form(
    request: SignedInRequest,
    form: forms.BaseForm,
    act: Callable[[dict[str, Any]], str | Done],
    page: FormPage,
) -> HttpResponse:
    """Show the form; on a good POST call ``act``, which returns what to say and may refuse."""
    by_itself = page.version is not None and SAVED_BY_ITSELF in request.headers
    if request.method == "POST" and form.is_valid():
        try:
            answer = act(form.cleaned_data)
        except Conflict as conflict:
            if by_itself:
                return JsonResponse({"said": str(conflict)}, status=409)
            return conflict_page(request, conflict, form, back=page.back)
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            if by_itself and page.version is not None:
                return JsonResponse({"version": page.version()})
            done = answer if isinstance(answer, Done) else Done(answer, page.back)
            messages.success(request, done.said)
            return redirect(done.to)
    if by_itself:
        return JsonResponse({"said": _first_fault(form)}, status=422)
    context = {"form": form, "page": page, **page.more}
    return render(request, page.template, context)


def _first_fault(form: forms.BaseForm) -> str:
    """The first thing that is wrong, with the label of its field."""
    for name, faults in form.errors.items():
        label = form.fields[name].label if name in form.fields else ""
        return f"{label}: {faults[0]}" if label else str(faults[0])
    return ""


def role_for_one_of(
    request: SignedInRequest, deeds: Sequence[Deed], about: SubjectFacts = NOTHING
) -> Role:
    """The role in which the person may do one of several deeds.

    :raises NotAllowed: if none of them is open to the person here
    """
    asked = request.POST.get("acting_role", "")
    open_deeds = [deed for deed in deeds if request.may(deed, about)] or [deeds[-1]]
    roles = [request.role_for(deed, about) for deed in open_deeds]
    return next((role for role in roles if role.value == asked), roles[0])


def may_one_of(
    request: SignedInRequest, deeds: Sequence[Deed], about: SubjectFacts = NOTHING
) -> bool:
    """Whether one of several deeds is open to the person here."""
    return any(request.may(deed, about) for deed in deeds)
