"""An answer that was given: what it was computed from, and computed again from that alone.

Nothing of today goes in but our arithmetic: rules, readings and bookings are those stored then.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lifecycle.planning.account import Account, account_of
from lifecycle.planning.again import Asked, NextAllowed, next_allowed
from lifecycle.planning.keeping import from_data
from lifecycle.planning.ledger import FaceInputs
from lifecycle.planning.quantities import lux_of
from lifecycle.records.models import RequestAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceThen:
    """One face of a stored answer; ``said`` and ``figures`` are what came out then, if kept."""

    account: Account
    answer: NextAllowed | None
    said: str
    figures: Mapping[str, Any] | None

    @property
    def face(self) -> str:
        return self.account.inputs.face

    @property
    def now(self) -> str:
        """What the same inputs come to now."""
        return self.account.because if self.answer is None else self.answer.because

    @property
    def same(self) -> bool | None:
        """Whether the figures are those of then; None where only the inputs were kept."""
        if self.figures is None or self.answer is None:
            return None
        return dict(self.figures) == self.answer.figures

    @property
    def lux(self) -> str:
        return "" if self.answer is None else f"{lux_of(self.answer.asked.level).normalize():f} lx"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerThen:
    """A stored answer read back; ``unreadable`` says why a face of it can't be read."""

    row: RequestAnswer
    at: datetime | None
    faces: tuple[FaceThen, ...]
    unreadable: tuple[str, ...]


def again(inputs: Mapping[str, Any]) -> list[NextAllowed]:
    """Compute the light answers of a stored record anew, from nothing but what it stored."""
    return [
        next_allowed(from_data(FaceInputs, one["inputs"]), from_data(Asked, one["asked"]))
        for one in inputs.get("faces", [])
        if one.get("asked") is not None
    ]


def answer_then(row: RequestAnswer) -> AnswerThen:
    """Return a stored answer with its figures computed again; no query beside the row's."""
    faces, unreadable = [], []
    rows: Sequence[Mapping[str, Any]] = row.inputs.get("faces", [])
    for one in rows:
        try:
            inputs = from_data(FaceInputs, one["inputs"])
            asked = None if one.get("asked") is None else from_data(Asked, one["asked"])
        except (KeyError, TypeError, ValueError) as fault:
            unreadable.append(f"{one.get('face', 'a face')}: {fault}")
            continue
        answer = None if asked is None else next_allowed(inputs, asked)
        faces.append(
            FaceThen(
                account=account_of(inputs),
                answer=answer,
                said=one.get("said", ""),
                figures=one.get("figures"),
            )
        )
    at = row.inputs.get("asked_at")
    return AnswerThen(
        row=row,
        at=None if at is None else datetime.fromisoformat(at),
        faces=tuple(faces),
        unreadable=tuple(unreadable),
    )
