"""Addresses of objects and of what belongs to them."""

from django.urls import path

from lifecycle.pages.objects import beside, lists, one

urlpatterns = [
    path("objects/", lists.objects, name="objects"),
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
