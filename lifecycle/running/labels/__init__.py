"""Every word of the surface in one list: read from templates, forms, tables, enums and papers.

Nothing is typed in here: a label that leaves the source leaves the list.
"""

from collections.abc import Iterable

from lifecycle.running.labels.from_code import labels_of_code
from lifecycle.running.labels.from_tables import labels_of_tables
from lifecycle.running.labels.from_templates import labels_of_templates
from lifecycle.running.labels.label import Kind, Label

__all__ = ["Kind", "Label", "all_labels"]


def all_labels() -> list[Label]:
    """Return every label once for each kind, in the order of kind and text."""
    found: dict[tuple[Kind, str], Label] = {}
    sources: tuple[Iterable[Label], ...] = (
        labels_of_templates(),
        labels_of_code(),
        labels_of_tables(),
    )
    for source in sources:
        for label in source:
            found.setdefault((label.kind, label.text), label)
    return sorted(found.values(), key=lambda one: (one.kind, one.text.lower(), one.text))
