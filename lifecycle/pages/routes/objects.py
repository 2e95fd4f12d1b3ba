"""Addresses of objects and of what belongs to them."""

from django.urls import path, register_converter

from lifecycle.pages.objects import beside, bring_in, lists, one


class TableFile:
    """``csv`` or ``xlsx``."""

    regex = "csv|xlsx"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


class TableDeed(TableFile):
    """What can be done with a table of objects."""

    regex = "go-ahead|put-aside|stop|take-back"


register_converter(TableFile, "tablefile")
register_converter(TableDeed, "tabledeed")

urlpatterns = [
    path("objects/", lists.objects, name="objects"),
    path("objects/bring-in/", bring_in.bring_in, name="objects-bring-in"),
    path("objects/bring-in/template.<tablefile:kind>", bring_in.template, name="objects-template"),
    path("objects/bring-in/<uuid:uid>/", bring_in.table, name="object-table"),
    path("objects/bring-in/<uuid:uid>/columns/", bring_in.columns, name="object-table-columns"),
    path("objects/bring-in/<uuid:uid>/words/", bring_in.words, name="object-table-words"),
    path(
        "objects/bring-in/<uuid:uid>/lines.<tablefile:kind>",
        bring_in.bad_lines,
        name="object-table-lines",
    ),
    path("objects/bring-in/<uuid:uid>/<tabledeed:deed>/", bring_in.deed, name="object-table-deed"),
    path("objects/new/", one.object_new, name="object-new"),
    path("objects/<uuid:uid>/", one.object_page, name="object"),
    path("objects/<uuid:uid>/change/", one.object_change, name="object-change"),
    path("objects/<uuid:uid>/faces/new/", beside.face_new, name="face-new"),
    path("faces/<uuid:uid>/change/", beside.face_change, name="face-change"),
    path("objects/<uuid:uid>/hazards/new/", beside.hazard_new, name="hazard-new"),
    path("hazards/<uuid:uid>/end/", beside.hazard_end, name="hazard-end"),
    path("objects/<uuid:uid>/size/", beside.size_set, name="object-size"),
    path("objects/<uuid:uid>/components/new/", beside.component_new, name="component-new"),
    path("objects/<uuid:uid>/numbers/new/", beside.number_new, name="object-number-new"),
    path("objects/<uuid:uid>/companions/new/", beside.companion_new, name="companion-new"),
    path("companions/<uuid:uid>/end/", beside.companion_end, name="companion-end"),
]
