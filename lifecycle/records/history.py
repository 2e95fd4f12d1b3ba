"""What puts the acting role on a history row; connected in ``apps.py``."""

from typing import Any


def write_role(sender: object, *, instance: object, history_instance: Any, **_: Any) -> None:
    history_instance.history_role = getattr(instance, "_history_role", "")
