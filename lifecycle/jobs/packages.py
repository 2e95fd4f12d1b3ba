"""Make one open package: claimed, written in steps, zipped, offered; stopped or taken up again."""

import shutil
import time
from typing import Final

from django.utils.timezone import now

from lifecycle.actions.package.asking import order_of, subject_of, titles_of
from lifecycle.actions.package.keeping import bag_name, room_of
from lifecycle.actions.package.notes import Notes
from lifecycle.actions.package.saving import Saving, Stopped
from lifecycle.actions.work import rows
from lifecycle.exchange.package.bag import digest_of_file
from lifecycle.exchange.package.zipping import zip_folder
from lifecycle.planning.counting import counted
from lifecycle.records.models.work import Work, WorkState

#: Telling how far the work has come costs a write: not more often than this [s].
TELL_EVERY_S: Final = 1.0


class _Telling:
    """Counts what is done, tells it now and then, and ends the work when it is asked to stop."""

    def __init__(self, work: Work, total: int) -> None:
        self._work, self._total = work, max(total, 1)
        self._done = 0
        self._told = float("-inf")

    def __call__(self, more: int, doing: str) -> None:
        self._done = min(self._done + more, self._total)
        if time.monotonic() - self._told >= TELL_EVERY_S:
            self.tell(doing)

    def tell(self, doing: str, findings: list[str] | None = None) -> None:
        self._told = time.monotonic()
        kept = rows.progress(
            work=self._work,
            done=self._done,
            total=self._total,
            doing=doing,
            at=now(),
            findings=findings or [],
        )
        if not kept:
            raise Stopped


def save_package(work: Work) -> str | None:
    """Make the package a piece of work asks for; None when it was stopped."""
    subject = subject_of(work.inputs)
    order = order_of(
        subject,
        made_by=work.inputs["made_by"],
        seen=frozenset(work.inputs["seen"]),
        at=work.asked_at,
    )
    room = room_of(work)
    bag = room / bag_name(titles_of(subject).short, work.asked_at)
    saving = Saving(order, bag, Notes(room / "notes"))
    steps = saving.steps()
    telling = _Telling(work, sum(step.size for step in steps))
    try:
        telling.tell("Reading what belongs to it")
        saved = saving.save(telling)
        target = room / f"{bag.name}.zip"
        size = zip_folder(bag, target, lambda _: telling(0, "Packing into one file"))
        digest = digest_of_file(target, lambda _: telling(0, "Packing into one file"))
        telling.tell("Packed", [one for one in saved.missing if one not in work.findings])
    except Stopped:
        if Work.objects.filter(pk=work.pk, state=WorkState.STOPPED).exists():
            shutil.rmtree(room, ignore_errors=True)
        return None
    shutil.rmtree(bag, ignore_errors=True)
    work.results = {
        "file": target.name,
        "bytes": size,
        "sha256": digest,
        "files": saved.files,
        "rows": saved.rows,
    }
    return f"{counted(saved.rows, 'record')} in {counted(saved.files, 'file')}."
