"""What every record has in common: kept with a name and a reason, or written once for ever."""

import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime
from enum import IntEnum, StrEnum
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, Final, NoReturn, Self, TypeVar

from django.db import models
from simple_history.manager import HistoryManager
from simple_history.models import HistoricalRecords

if TYPE_CHECKING:
    from lifecycle.records.models.people import Person

M = TypeVar("M", bound=models.Model)

CODE_ALPHABET: Final = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH: Final = 7
_LOOKALIKES: Final = str.maketrans({"0": "Q", "O": "Q", "1": "J", "I": "J", "L": "J"})


def short_code(uid: uuid.UUID) -> str:
    """Seven letters that can't be mixed up in print: the short code typed from a paper."""
    rest, letters = uid.int, []
    for _ in range(CODE_LENGTH):
        rest, digit = divmod(rest, len(CODE_ALPHABET))
        letters.append(CODE_ALPHABET[digit])
    return "".join(letters)


def typed_code(text: str) -> str:
    """Bring a typed short code into the printed form; letters never printed become the nearest."""
    return "".join(text.upper().split()).replace("-", "").translate(_LOOKALIKES)


def choices(words: type[StrEnum]) -> list[tuple[str, str]]:
    """Column choices from a closed list of the process."""
    return [(word.value, str(getattr(word, "label", word.value))) for word in words]


def int_choices(words: type[IntEnum]) -> list[tuple[int, str]]:
    """Column choices from a closed list of numbers."""
    return [(word.value, str(getattr(word, "label", word.name))) for word in words]


def one_of(
    field: str, words: type[StrEnum], name: str, *, blank: bool = False
) -> models.CheckConstraint:
    """A check that the database itself keeps the column inside its closed list."""
    values = [word.value for word in words] + ([""] if blank else [])
    return models.CheckConstraint(condition=models.Q(**{f"{field}__in": values}), name=name)


class HistoryBase(models.Model):
    """Every history row carries the role in which the change was made."""

    history_role = models.CharField(max_length=24, blank=True, default="")

    class Meta:
        abstract = True


class KeptHistoryManager(HistoryManager):  # type: ignore[misc]  # untyped library
    """One class for all looks into a history; the library would make it anew at each of them."""

    @classmethod
    @cache
    def from_queryset(
        cls, queryset_class: type[models.QuerySet[Any]], class_name: str | None = None
    ) -> type[HistoryManager]:
        made: type[HistoryManager] = super().from_queryset(queryset_class, class_name)
        return made


def kept_history(**options: Any) -> HistoricalRecords:
    """History with person, role, moment and reason; declare it visibly on each kept model."""
    return HistoricalRecords(
        bases=[HistoryBase],
        user_model="records.Person",
        get_user=_nobody,
        history_manager=KeptHistoryManager,
        **options,
    )


def _nobody(instance: models.Model, **_: Any) -> Any:
    """The person comes from keep(), never from a request of the thread."""
    return getattr(instance, "_history_user", None)


class KeptQuerySet(models.QuerySet[M]):
    """Refuses the shortcuts that would leave no history."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("update() leaves no history: load the rows and keep() each one.")

    def bulk_create(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("bulk_create() leaves no history: keep() each row.")

    def delete(self) -> NoReturn:
        raise TypeError("Kept rows are struck with a reason, not deleted.")


class AppendOnlyQuerySet(models.QuerySet[M]):
    """Rows are written once; a correction is a new row."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("This row is written once: a correction is a new row.")

    def delete(self) -> NoReturn:
        raise TypeError("This row is written once and never deleted.")


class Known(models.Model):
    """A record that can be addressed from outside without giving away its row number."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        abstract = True


class Coded(models.Model):
    """A record whose short code is printed on papers and typed back."""

    code = models.CharField("short code", max_length=CODE_LENGTH, unique=True, editable=False)

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self.code:
            self.code = short_code(self.uid)  # type: ignore[attr-defined]
        super().save(*args, **kwargs)


class Kept(Known):
    """A row that may only change with a person, a role, a moment and a reason in its history."""

    class Meta:
        abstract = True

    def keep(
        self,
        *,
        by: "Person | None",
        role: str,
        why: str,
        at: datetime,
        fields: Sequence[str] | None = None,
    ) -> Self:
        """Save, and sign this one entry of the history; the signature does not linger.

        ``by`` is None only for rows a fresh museum starts from, before it has people.
        """
        self._history_user, self._history_role = by, role
        self._change_reason, self._history_date = why, at
        try:
            self.save(update_fields=fields)
        finally:
            del self._history_user, self._history_role, self._change_reason, self._history_date
        return self

    def put_lists(self, **lists: Iterable[models.Model]) -> None:
        """Set lists of other rows by field name; the ``keep`` that follows signs what is new.

        Set directly, each list would leave a history row of its own, without person or reason.
        """
        self.skip_history_when_saving = True
        try:
            for field, rows in lists.items():
                getattr(self, field).set(rows)
        finally:
            del self.skip_history_when_saving

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("Kept rows are struck with a reason, not deleted.")


class AppendOnly(Known):
    """A row that is written once: reading, step, journal entry, signature."""

    written_once: ClassVar[bool] = True  # read by records/triggers.py

    class Meta:
        abstract = True

    def append(self) -> Self:
        """Write the row; a second call is refused."""
        if self.pk is not None:
            raise TypeError("This row is written once: a correction is a new row.")
        self.save(force_insert=True)
        return self

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("This row is written once and never deleted.")
