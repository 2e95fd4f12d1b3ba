"""Morning letters: one row for each person and day of their zone, made when it is due."""

from datetime import datetime

from lifecycle.actions.work.waking import SEND_LETTER, wake_on_commit
from lifecycle.queries.letters import letters_due
from lifecycle.records.models.work import Letter


def make_due_letters(*, at: datetime, whatever_hour: bool = False) -> int:
    """Write the row of every letter that is due and has none; return how many are new.

    ``whatever_hour`` makes the day's letters at once: the demo shows them when it starts. The
    worker is not awake then; its first sweep finds them.
    """
    new = 0
    for due in letters_due(at=at, whatever_hour=whatever_hour):
        letter, created = Letter.objects.get_or_create(
            person_id=due.person_id, day=due.day, defaults={"due_at": at, "next_try_at": at}
        )
        if created:
            new += 1
            if not whatever_hour:
                wake_on_commit(SEND_LETTER, str(letter.uid))
    return new
