"""What a report still lacks, each with the page, or the part of it, where it is mended."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.urls import reverse

from lifecycle.actions.refusals import Reason
from lifecycle.pages.condition.seeing import address
from lifecycle.records.models.condition import ConditionReport

_PAGES: Final = {
    "condition-circumstances": ("who", "when", "where", "seen_as", "compared"),
    "condition-conclusions": (
        *("grade", "stability", "result", "limits", "nothing_to_note"),
        *("fit_display", "fit_travel", "fit_handling"),
    ),
    "condition-faces": ("faces",),
    "condition-as-found": ("as_found", "as_found_picture"),
    "condition-bench": ("bench_check", "same_lights"),
}
_PARTS: Final = {
    "findings": (
        *("no_located_observation", "picture", "unanswered", "severity", "measured_otherwise"),
    ),
    "not-seen": ("not_seen",),
    "lights": ("lights",),
    "sections": ("sections", "section_taken"),
}
PAGE_OF: Final = {code: page for page, codes in _PAGES.items() for code in codes}
PART_OF: Final = {code: part for part, codes in _PARTS.items() for code in codes}


@dataclass(frozen=True, slots=True)
class Lacking:
    """One thing that stands against signing, and where to go."""

    text: str
    href: str


def lacking(report: ConditionReport, reasons: Iterable[Reason]) -> list[Lacking]:
    """Each reason with the address where it is mended; the draft itself where none is known."""
    return [Lacking(reason.text, _where(report, reason)) for reason in reasons]


def _where(report: ConditionReport, reason: Reason) -> str:
    code = reason.code.removeprefix("condition.")
    if page := PAGE_OF.get(code):
        return reverse(page, args=[report.uid])
    return address(report, PART_OF.get(code, ""))
