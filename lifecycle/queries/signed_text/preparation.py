"""The words of a signed fit check."""

from typing import Final

from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.lines import Lines, Wording
from lifecycle.records.models.preparation import FitCheck, FitResult


def fit_check_text(check: FitCheck, wording: Wording) -> str:
    """Return the words mount maker and conservator both sign."""
    mount = check.mount
    lines = Lines("Fit check", number=mount.mount_no)
    lines.say("Object number", wording.of(mount.museum_object, "object_number"))
    lines.say("Mount", wording.of(mount.kind, "label"))
    lines.say("Face", wording.of(check.face, "label"))
    lines.moment("Tried", check.checked_at)
    lines.yes_no("Object present", check.object_present)
    lines.say("Result", FitResult(check.result).label)
    lines.prose("Note", check.note)
    lines.say("Picture SHA-256", check.photo.sha256 if check.photo else "")
    lines.say("Mount maker", wording.of(check.mount_maker, "full_name"))
    lines.say("Conservator", wording.of(check.conservator, "full_name"))
    return lines.text()


KINDS: Final[tuple[SignedKind, ...]] = (
    SignedKind(
        name="fit-check",
        label="fit check",
        model=FitCheck,
        text=fit_check_text,
        number=lambda check: str(check.mount.mount_no),
    ),
)
