"""Files that a form brings: what becomes no record does not stay in the store either.

A picture or a scan is written into the store before its row. The row goes with its transaction
when the form is refused; the file has to be taken out again.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

from lifecycle.exchange.kept_files import newly_written, take_out
from lifecycle.queries.pictures import named_by_no_row


@contextmanager
def gone_unless_named() -> Iterator[None]:
    """Take out every picture and scan that came within the block and that no row names at its end.

    A file that was there before stays, whoever named it.
    """
    with newly_written() as written:
        try:
            yield
        finally:
            for name in named_by_no_row(written):
                take_out(name, unless=partial(_is_named, name))


def _is_named(name: str) -> bool:
    return not named_by_no_row([name])
