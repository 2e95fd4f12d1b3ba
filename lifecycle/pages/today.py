"""Today: the first page. What must this person do now, why, and one click to do it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.put_by import bring_back, put_by
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.errands import address
from lifecycle.pages.first_steps import steps_for
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.templatetags.look import main_title
from lifecycle.process.duties.duty import Band
from lifecycle.process.stages import Role
from lifecycle.queries.today import TodayLine, drafts_of, today_of

EMPTY = {
    Role.CONSERVATOR: "Requests to answer, reports to sign, readings and turns stand here.",
    Role.CURATOR: "Consents to give, captions and facsimiles to approve stand here.",
    Role.REGISTRAR: "Days to plan, movements to confirm, papers to read back stand here.",
    Role.MOUNT_MAKER: "Mounts to make and fit checks you are named for stand here.",
    Role.PHOTOGRAPHER: "Picture jobs you are named for stand here, with the day they are due.",
    Role.TECHNICIAN: "Installs, turns and movements you are named for stand here.",
    Role.ATTENDANT: "The looks that are due in your gallery stand here.",
    Role.EXHIBITION_MANAGER: "What is not ready in your exhibitions stands here.",
    Role.HEAD_OF_COLLECTIONS: "Consents that need you and faces past their last day stand here.",
    Role.STEWARD: "Meters to calibrate and accounts that end stand here.",
    Role.COURIER: "What waits for your signature stands here.",
    Role.LENDER: "What waits for your consent or signature stands here.",
}


FOLD_FROM = 3
"""From so many on, tasks of one kind that are due together stand under one line."""


@dataclass(frozen=True, slots=True)
class Row:
    """A task with the address where it is done; ``under`` are tasks that stand under one line."""

    text: str
    why: str
    word: str
    href: str
    due_on: date | None
    about: str = ""
    named: bool = False
    key: str = ""
    until: date | None = None
    under: tuple["Row", ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """The tasks under one heading."""

    label: str
    pressing: bool
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Fold:
    """Tasks settled on one walk or one page: which they are, and where all of them stand."""

    pages: frozenset[str]
    says: Callable[[list[TodayLine]], str]
    why: str
    word: str
    url_name: str


def _walk_words(lines: list[TodayLine]) -> str:
    looks = sum(line.url_name == "looks" for line in lines)
    counts = [
        f"{count} {word}{'s' if count > 1 else ''}"
        for count, word in ((len(lines) - looks, "reading"), (looks, "look"))
        if count
    ]
    return f"Walk the round: {' and '.join(counts)} due."


FOLDS = (
    Fold(
        pages=frozenset({"reading-take", "looks"}),
        says=_walk_words,
        why="Due by the house rules; the day is that of the earliest.",
        word="Start the round",
        url_name="round",
    ),
    Fold(
        pages=frozenset({"light-object"}),
        says=lambda lines: f"{len(lines)} faces have little light left: turn, cover or dim.",
        why="The one with the least stands first.",
        word="See the light accounts",
        url_name="light",
    ),
)


def groups_of(lines: list[TodayLine]) -> list[Group]:
    """Return the lines under their headings; inside each the order is that of the list.

    Tasks of one kind that are due together stand under one line, from three on.
    """
    by_band = sorted(lines, key=lambda line: line.band)
    return [
        Group(Band(band).label, pressing=band <= Band.OVERDUE, rows=_folded(list(found)))
        for band, found in groupby(by_band, key=lambda line: line.band)
    ]


def _folded(lines: list[TodayLine]) -> tuple[Row, ...]:
    under: dict[str, tuple[Fold, list[TodayLine]]] = {}
    for fold in FOLDS:
        inside = [line for line in lines if line.url_name in fold.pages]
        if len(inside) >= FOLD_FROM:
            under |= dict.fromkeys(fold.pages, (fold, inside))
    rows = []
    for line in lines:
        fold_of = under.get(line.url_name)
        if fold_of is None:
            rows.append(_row(line))
        elif line is fold_of[1][0]:
            rows.append(_fold_row(*fold_of))
    return tuple(rows)


def _fold_row(fold: Fold, lines: list[TodayLine]) -> Row:
    return Row(
        text=fold.says(lines),
        why=fold.why,
        word=fold.word,
        href=address(fold.url_name, {}),
        due_on=min((line.due_on for line in lines if line.due_on), default=None),
        under=tuple(_row(line) for line in lines),
    )


def _row(line: TodayLine) -> Row:
    # The subtitle is for the exhibition's own page; forty rows need only know which one it is.
    show = main_title(line.exhibition)
    return Row(
        text=line.text,
        why=line.why,
        word=line.word,
        href=address(line.url_name, line.url_kwargs, line.query),
        due_on=line.due_on,
        about=", ".join(part for part in (line.title, show and f"for “{show}”") if part),
        named=line.person_named,
        key="" if line.band is Band.HARD_OVERDUE else line.key,
        until=line.laid.until if line.laid else None,
    )


@require_GET
@signed_in
def today_page(request: SignedInRequest) -> HttpResponse:
    """The person's day, and what they have begun and not finished."""
    every = today_of(request.person, request.at)
    lines = [line for line in every if line.laid is None]
    roles = list(dict.fromkeys(post.role for post in request.facts.posts))
    drafts = [
        (draft, address(draft.url_name, {"uid": draft.uid})) for draft in drafts_of(request.person)
    ]
    context = {
        "groups": groups_of(lines),
        "put_by": [_row(line) for line in every if line.laid is not None],
        "count": len(lines),
        "pressing": sum(line.band <= Band.TODAY for line in lines),
        "drafts": drafts,
        "roles": roles,
        "steps": steps_for(request),
        "empty": " ".join(EMPTY[role] for role in roles),
    }
    return render(request, "today/today.html", context)


class PutByForm(forms.Form):
    """Seen is enough; a day is for those who want quiet until then."""

    until = forms.DateField(
        label="Leave me alone until",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Left empty, it is only seen. Either way it comes back as soon as it presses "
        "more, and the task itself stays for everybody whose it is.",
    )


@signed_in
def put_by_page(request: SignedInRequest) -> HttpResponse:
    """Lay one task aside: seen, or quiet until a day."""
    key = request.GET.get("key", "")
    line = next((one for one in today_of(request.person, request.at) if one.key == key), None)
    if line is None:
        raise Http404("This task is settled, or no longer yours.")

    def act(data: dict[str, date | None]) -> str:
        put_by(by=request.person, at=request.at, key=key, until=data["until"])
        return f"Put by: {line.text}"

    page = FormPage(
        title="Put a task by",
        submit="Put it by",
        back=reverse("today"),
        lead=line.text,
    )
    return answer_form(request, PutByForm(request.POST or None), act, page)


@require_POST
@signed_in
def bring_back_page(request: SignedInRequest) -> HttpResponse:
    """Let a task that was put by speak again."""
    try:
        bring_back(by=request.person, at=request.at, key=request.POST.get("key", ""))
    except Refused as refused:
        messages.error(request, str(refused))
    return redirect("today")
