"""What a long command says on the way: one line for each thing it does."""

from collections.abc import Callable


class Teller:
    """Says each new deed once; with a count when it has one."""

    def __init__(self, say: Callable[[str], None], *, quiet: bool = False) -> None:
        self.say, self.quiet = say, quiet
        self.last = ""

    def __call__(self, doing: str, done: int, total: int) -> None:
        if self.quiet or doing == self.last:
            return
        self.last = doing
        self.say(f"{doing.capitalize()} ({total}) ..." if total else f"{doing.capitalize()} ...")
