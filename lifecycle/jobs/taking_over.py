"""The worker's part of taking an exhibition over: line by line, each a transaction of its own."""

from django.utils.timezone import now

from lifecycle.actions.display.taking_over import MISSING
from lifecycle.actions.display.taking_over_list import take_over_line
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.taking_over_list import line_typed
from lifecycle.planning.counting import counted
from lifecycle.process.stages import Role
from lifecycle.records.models import Document, Exhibition, Person
from lifecycle.records.models.work import Work


def take_over_lines(work: Work) -> str | None:
    """Take the lines over one after the other; None when it was stopped.

    A worker that dies leaves whole lines behind; the next one finds them done and goes on.
    """
    said = work.inputs
    exhibition = Exhibition.objects.get(uid=said["exhibition"])
    conservator = Person.objects.get(uid=said["conservator"])
    by = work.asked_by
    if by is None:
        return "Nobody is named who asked for it."
    uids = {uid: name for name, uid in said["scans"].items()}
    scans = {uids[str(row.uid)]: row for row in Document.objects.filter(uid__in=list(uids))}
    lines = said["lines"]
    while work.done < len(lines):
        one = lines[work.done]
        findings = []
        try:
            take_over_line(
                by=by,
                role=Role(said["role"]),
                at=now(),
                exhibition=exhibition,
                conservator=conservator,
                line=line_typed(one["number"], one["typed"], MISSING),
                scans=scans,
            )
        except (Refused, NotAllowed) as refused:
            findings = [f"{one['number']}: {refused}"]
        done = work.done + 1
        kept = rows.progress(
            work=work,
            done=done,
            total=len(lines),
            doing=f"{done} of {counted(len(lines), 'line')} taken over or named",
            at=now(),
            findings=findings,
        )
        if not kept:
            return None
    left = len(work.findings)
    return (
        f"{counted(len(lines) - left, 'object')} taken over, "
        f"{counted(left, 'line')} left with their reasons."
    )
