"""What the tests of refusals read off one."""

from collections.abc import Callable

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused


def codes(refused: pytest.ExceptionInfo[Refused]) -> list[str]:
    """The code of each reason, in order."""
    return [reason.code for reason in refused.value.reasons]


def is_shut(attempt: Callable[[], object]) -> bool:
    """Whether the attempt is answered with 'not you', before anything else is looked at."""
    try:
        attempt()
    except NotAllowed:
        return True
    except Refused:
        return False
    return False
