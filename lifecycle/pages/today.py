"""Today: the first page. What must this person do now, why, and one click to do it."""

from dataclasses import dataclass
from itertools import groupby

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.errands import address
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


@dataclass(frozen=True, slots=True)
class Row:
    """A task with the address where it is done."""

    line: TodayLine
    href: str


@dataclass(frozen=True, slots=True)
class Group:
    """The tasks under one heading."""

    label: str
    pressing: bool
    rows: tuple[Row, ...]


def groups_of(lines: list[TodayLine]) -> list[Group]:
    """Return the lines under their headings; inside each the order is that of the list."""
    by_band = sorted(lines, key=lambda line: line.band)
    return [
        Group(
            label=Band(band).label,
            pressing=band <= Band.OVERDUE,
            rows=tuple(
                Row(line, address(line.url_name, line.url_kwargs, line.query)) for line in found
            ),
        )
        for band, found in groupby(by_band, key=lambda line: line.band)
    ]


@require_GET
@signed_in
def today_page(request: SignedInRequest) -> HttpResponse:
    """The person's day, and what they have begun and not finished."""
    lines = today_of(request.person, request.at)
    roles = list(dict.fromkeys(post.role for post in request.facts.posts))
    drafts = [
        (draft, address(draft.url_name, {"uid": draft.uid})) for draft in drafts_of(request.person)
    ]
    context = {
        "groups": groups_of(lines),
        "count": len(lines),
        "drafts": drafts,
        "roles": roles,
        "empty": " ".join(EMPTY[role] for role in roles),
    }
    return render(request, "today/today.html", context)
