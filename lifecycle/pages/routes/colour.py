"""Addresses of colour spots and their readings."""

from django.urls import path

from lifecycle.pages.colour import files, spots

urlpatterns = [
    path("objects/<uuid:uid>/colour/", spots.object_colours, name="object-colours"),
    path("objects/<uuid:uid>/colour/file/", files.colours_file, name="colours-file"),
    path("objects/<uuid:uid>/colour/table/", files.colours_table, name="colours-table"),
    path("faces/<uuid:uid>/colour-spot/", spots.spot_new, name="colour-spot-new"),
    path("colour-spots/<uuid:uid>/read/", spots.spot_read, name="colour-read"),
    path("colour-spots/<uuid:uid>/give-up/", spots.spot_give_up, name="colour-give-up"),
    path("colour-readings/<uuid:uid>/strike/", spots.measurement_strike, name="colour-strike"),
]
