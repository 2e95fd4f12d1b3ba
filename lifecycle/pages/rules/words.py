"""The museum's open lists, kept by the steward."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.refusals import Refused
from lifecycle.actions.words import add_word, bring_word_back, change_word, retire_word
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.people.views import acting_steward
from lifecycle.process.rights import Deed
from lifecycle.queries.words import list_lines, words_in
from lifecycle.records.models import Vocabulary, Word


class WordForm(forms.Form):
    """One word of a list."""

    label = forms.CharField(label="Word", max_length=120)
    definition = forms.CharField(
        label="What it means here",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="In your own words; printed where the word needs one.",
    )
    group = forms.CharField(label="Group", max_length=60, required=False)
    external_identifier = forms.CharField(
        label="Identifier in an open word list", max_length=200, required=False
    )


class WordChangeForm(WordForm):
    """One word again, with the reason."""

    why = reason_field("Why the word changes")


class RetireForm(forms.Form):
    """Why a word is offered no longer."""

    why = reason_field("Why it is retired")


def _vocabulary(name: str) -> Vocabulary:
    try:
        return Vocabulary(name)
    except ValueError:
        raise Http404 from None


@require_GET
@signed_in
def vocabularies(request: SignedInRequest) -> HttpResponse:
    """Every open list."""
    request.role_for(Deed.STEWARD)
    return render(request, "rules/vocabularies.html", {"lines": list_lines()})


@require_GET
@signed_in
def vocabulary(request: SignedInRequest, name: str) -> HttpResponse:
    """One list with its words."""
    request.role_for(Deed.STEWARD)
    which = _vocabulary(name)
    context = {"vocabulary": which, "words": words_in(which)}
    return render(request, "rules/vocabulary.html", context)


def _back(which: str) -> str:
    return reverse("vocabulary", args=[which])


@signed_in
def word_new(request: SignedInRequest, name: str) -> HttpResponse:
    """Add a word to a list."""
    which = _vocabulary(name)
    acting = acting_steward(request)

    def act(data: dict[str, Any]) -> str:
        made = add_word(**acting, vocabulary=which, **data)
        return f"“{made.label}” is offered from now on."

    page = FormPage(title=f"Add a word: {which.label}", submit="Add the word", back=_back(name))
    return answer_form(request, WordForm(request.POST or None), act, page)


@signed_in
def word_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Better a word."""
    word = get_object_or_404(Word, uid=uid)
    acting = acting_steward(request)
    initial = {name: getattr(word, name) for name in WordForm.base_fields}

    def act(data: dict[str, Any]) -> str:
        change_word(**acting, word=word, **data)
        return f"“{data['label']}” is changed."

    page = FormPage(
        title=f"Change the word “{word.label}”",
        submit="Change the word",
        back=_back(word.vocabulary),
        lead="Signed records keep the word they were signed with.",
    )
    form = WordChangeForm(request.POST or None, initial=initial)
    return answer_form(request, form, act, page)


@signed_in
def word_retire(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Offer a word no longer."""
    word = get_object_or_404(Word, uid=uid)
    acting = acting_steward(request)

    def act(data: dict[str, Any]) -> str:
        retire_word(**acting, word=word, why=data["why"])
        return f"“{word.label}” is retired; records that use it keep it."

    page = FormPage(
        title=f"Retire the word “{word.label}”", submit="Retire it", back=_back(word.vocabulary)
    )
    return answer_form(request, RetireForm(request.POST or None), act, page)


@require_POST
@signed_in
def word_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Offer a retired word again."""
    word = get_object_or_404(Word, uid=uid)
    try:
        bring_word_back(**acting_steward(request), word=word)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"“{word.label}” is offered again.")
    return redirect(_back(word.vocabulary))
