"""Where packages lie, how the folder of one is called, and when it is cleared away."""

import shutil
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final
from uuid import UUID

from django.conf import settings

from lifecycle.queries.package.names import folded
from lifecycle.records.models import Work, WorkKind, WorkState

#: How long a package can be fetched; it can be made again at any time.
KEPT_FOR: Final = timedelta(days=14)
LONGEST: Final = 60


def room_of(work: Work) -> Path:
    """Return the folder in which the package of a piece of work is made and kept."""
    return Path(settings.PACKAGES_DIR) / str(work.uid)


def bag_name(short: str, at: datetime) -> str:
    """Return the name of a package's folder: ``HCM.1908.12-open-package-2026-11-26``."""
    return f"{folded(short)[:LONGEST].strip('-. ') or 'museum'}-open-package-{at:%Y-%m-%d}"


def kept_file(work: Work) -> Path | None:
    """Return the file of a finished package; None when there is none (any more)."""
    name = work.results.get("file", "")
    path = room_of(work) / name if name else None
    return path if path is not None and path.is_file() else None


def clear_away(*, at: datetime) -> int:
    """Delete packages older than ``KEPT_FOR`` and what stopped or failed work left behind."""
    packages = Work.objects.filter(kind=WorkKind.OPEN_PACKAGE)
    old = packages.filter(state=WorkState.DONE, ended_at__lt=at - KEPT_FOR, results__has_key="file")
    cleared = 0
    for work in old.order_by("pk"):
        shutil.rmtree(room_of(work), ignore_errors=True)
        results = {name: value for name, value in work.results.items() if name != "file"}
        results["cleared"] = at.isoformat()
        packages.filter(pk=work.pk).update(results=results)
        cleared += 1
    for room in _rooms():
        if packages.filter(uid=room.name, state__in=(WorkState.STOPPED, WorkState.FAILED)):
            shutil.rmtree(room, ignore_errors=True)
            cleared += 1
    return cleared


def _rooms() -> list[Path]:
    folder = Path(settings.PACKAGES_DIR)
    if not folder.is_dir():
        return []
    return [room for room in sorted(folder.iterdir()) if room.is_dir() and _is_uid(room.name)]


def _is_uid(name: str) -> bool:
    try:
        UUID(name)
    except ValueError:
        return False
    return True
