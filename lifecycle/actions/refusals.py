"""How an action says no: in sentences, beside a field where there is one, nothing half-written."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import PermissionDenied


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that stands in the way; ``field`` names the form field it belongs to."""

    text: str
    field: str = ""
    code: str = ""


class Refused(Exception):
    """The action did nothing; ``reasons`` are all the reasons at once, in words."""

    def __init__(self, reasons: Reason | str | Iterable[Reason]) -> None:
        if isinstance(reasons, str):
            reasons = Reason(reasons)
        self.reasons: tuple[Reason, ...] = (
            (reasons,) if isinstance(reasons, Reason) else tuple(reasons)
        )
        super().__init__(" ".join(reason.text for reason in self.reasons))


class Conflict(Refused):
    """Somebody else saved this section meanwhile; both texts are handed back.

    ``theirs`` and ``mine`` map a field's label to its text; ``by`` names whose text is stored.
    """

    def __init__(
        self, text: str, *, theirs: dict[str, str], mine: dict[str, str], by: str, version: int
    ) -> None:
        super().__init__(Reason(text, code="conflict"))
        self.theirs, self.mine, self.by, self.version = theirs, mine, by, version


class NotAllowed(PermissionDenied):
    """This role may not do this deed here: 'not you', as against 'not yet'."""
