"""Every table and its history, made to be read: nothing is added, changed or deleted here.

Accounts, house rules, vocabularies and places are kept in pages, through actions. Who may read is
asked where the site is put together, in ``pages/reading_room.py``.
"""

from typing import Any, Final

from django.apps import apps
from django.contrib import admin
from django.contrib.admin.sites import AdminSite
from django.db import models
from django.http import HttpResponseRedirect  # noqa: TID251 (the library's hook answers with one)
from django.urls import reverse

#: Columns that are never shown, not even to be read.
HIDDEN: Final = frozenset({"password"})


class ReadOnlyAdmin(admin.ModelAdmin[Any]):
    """Shows every column of a table; refuses every way of writing."""

    actions = None
    list_per_page = 50
    show_full_result_count = False
    view_on_site = False

    def columns(self) -> list[models.Field[Any, Any]]:
        """Every column of the table but those that are nobody's to read."""
        return [field for field in self.model._meta.concrete_fields if field.name not in HIDDEN]

    def get_list_display(self, request: Any) -> list[Any]:
        return [field.name for field in self.columns()[:7]]

    def get_list_select_related(self, request: Any) -> list[str]:
        few = self.columns()[:7]
        return [field.name for field in few if isinstance(field, models.ForeignKey)]

    def get_ordering(self, request: Any) -> list[Any]:
        return ["-pk"]

    def get_fields(self, request: Any, obj: models.Model | None = None) -> list[Any]:
        several = [field.name for field in self.model._meta.many_to_many]
        return [field.name for field in self.columns()] + several

    def get_readonly_fields(self, request: Any, obj: models.Model | None = None) -> list[str]:
        return self.get_fields(request, obj)

    def has_module_permission(self, request: Any) -> bool:
        return True

    def has_view_permission(self, request: Any, obj: models.Model | None = None) -> bool:
        return True

    def has_add_permission(self, request: Any, obj: models.Model | None = None) -> bool:
        return False

    def has_change_permission(self, request: Any, obj: models.Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: Any, obj: models.Model | None = None) -> bool:
        return False

    def history_view(self, request: Any, object_id: str, extra_context: Any = None) -> Any:
        """Lead to the rows of the record's own history, where it has one."""
        history = getattr(getattr(self.model, "history", None), "model", None)
        if history is None:
            return super().history_view(request, object_id, extra_context)
        room = self.admin_site.name
        address = reverse(f"{room}:records_{history._meta.model_name}_changelist")
        return HttpResponseRedirect(f"{address}?id__exact={int(object_id)}")


def put_every_table_into(site: AdminSite) -> None:
    """Register every table of the records, histories included, for reading."""
    for model in apps.get_app_config("records").get_models():
        site.register(model, ReadOnlyAdmin)
