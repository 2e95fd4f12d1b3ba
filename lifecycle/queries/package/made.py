"""Packages that were asked for, and whether one can be fetched."""

from uuid import UUID

from lifecycle.records.models import Work, WorkKind


def packages(*, most: int = 50) -> list[Work]:
    """Return the newest packages asked for, in one query."""
    rows = Work.objects.filter(kind=WorkKind.OPEN_PACKAGE).select_related(
        "asked_by", "stop_asked_by"
    )
    return list(rows.order_by("-asked_at", "-pk")[:most])


def package_of(uid: UUID) -> Work | None:
    """Return one package that was asked for."""
    rows = Work.objects.filter(kind=WorkKind.OPEN_PACKAGE, uid=uid)
    return rows.select_related("asked_by", "stop_asked_by").first()
