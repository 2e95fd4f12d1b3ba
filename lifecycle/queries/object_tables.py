"""Tables of objects that were brought: the newest, and whether one was taken back."""

from lifecycle.records.models.work import Work, WorkKind


def tables_brought(*, most: int = 20) -> list[Work]:
    """The newest tables of objects, without what they hold; one query."""
    tables = Work.objects.filter(kind=WorkKind.IMPORT_OBJECTS).select_related("asked_by")
    return list(tables.defer("findings", "results").order_by("-asked_at", "-pk")[:most])


def back_of(table: Work) -> Work | None:
    """The newest piece of work that takes this table back."""
    backs = Work.objects.filter(
        kind=WorkKind.TAKE_BACK_IMPORT, key__startswith=f"take-back/{table.uid}/"
    )
    return backs.select_related("asked_by").order_by("-pk").first()
