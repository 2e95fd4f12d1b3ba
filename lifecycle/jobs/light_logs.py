"""A logger's file in the worker: read in pieces, so that its progress shows; written as one row."""

from typing import Final

from django.utils.timezone import now

from lifecycle.actions.light.logging_in import keep_log, reading_of, table_of
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.light_log import Series, read_lines
from lifecycle.planning.counting import counted
from lifecycle.records.models.work import Work

PIECE: Final = 5_000


def import_light_log(work: Work) -> str | None:
    """Read the file and keep it; None when it was stopped, and then nothing was written.

    A worker that dies has written nothing; the next one reads the file again from its beginning.
    """
    lines, how, series = table_of(work).lines, reading_of(work), Series()
    for start in range(0, len(lines), PIECE):
        read_lines(lines[start : start + PIECE], how, series)
        done = min(start + PIECE, len(lines))
        left = [[one.number, one.why] for one in series.left]
        kept = rows.progress(
            work=work,
            done=done,
            total=len(lines),
            doing=f"{done} of {counted(len(lines), 'line')} read",
            at=now(),
            results={"bad": left, "left_out": series.left_out},
        )
        if not kept:
            return None
    try:
        log = keep_log(work=work, series=series, at=now())
    except (Refused, NotAllowed) as refused:
        return f"Nothing was written. {refused}"
    work.results = {**work.results, "log": str(log.uid)}
    return f"Samples kept: {log.count}. Lines left out: {log.left_out}."
