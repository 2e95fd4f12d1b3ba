"""Addresses of light: accounts, readings, looks, lit hours, instruments."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from lifecycle.pages.light import (
    accounts,
    collection,
    instruments,
    logs,
    looks,
    past_list,
    readings,
    timetables,
    turn_days,
    walk,
    what_if,
)


class LogDeed(StringConverter):
    """What can be done with a logger's file."""

    regex = "go-ahead|put-aside|stop"


register_converter(LogDeed, "logdeed")

urlpatterns = [
    path("light/", accounts.light, name="light"),
    path("light/round/", readings.light_round, name="round"),
    path("light/accounts/", collection.all_accounts, name="light-accounts"),
    path("light/lamps/", collection.lamps, name="lamps"),
    path("light/round/read/", walk.readings_walk, name="readings-walk"),
    path("papers/<uuid:uid>/readings/", walk.sheet_back, name="reading-sheet-back"),
    path("light/past/", past_list.past_list, name="past-list"),
    path("light/past/table.csv", past_list.past_table, name="past-table"),
    path("light/faces/<uuid:uid>/", accounts.light_face, name="light-face"),
    path("light/faces/<uuid:uid>/csv/", accounts.light_csv, name="light-csv"),
    path("light/faces/<uuid:uid>/past/", accounts.past_light, name="past-light"),
    path("light/objects/<uuid:uid>/", accounts.light_object, name="light-object"),
    path("showings/<uuid:uid>/turn-days/", turn_days.turn_days_page, name="turn-days"),
    path("showings/<uuid:uid>/what-if/", what_if.what_if_page, name="what-if"),
    path("light/entries/<uuid:uid>/correct/", accounts.entry_correct, name="light-entry-correct"),
    path("light/places/<uuid:uid>/", readings.readings, name="readings"),
    path("light/places/<uuid:uid>/read/", readings.reading_take, name="reading-take"),
    path("light/places/<uuid:uid>/event/", readings.light_event, name="light-event"),
    path("light/places/<uuid:uid>/air/", readings.climate_take, name="climate-take"),
    path("light/places/<uuid:uid>/log/", logs.log_new, name="light-log-new"),
    path("light/logs/<uuid:uid>/", logs.log_page, name="light-log"),
    path("light/logs/of/<uuid:uid>/take-back/", logs.log_take_back, name="light-log-take-back"),
    path("light/logs/<uuid:uid>/<logdeed:deed>/", logs.log_deed, name="light-log-deed"),
    path("light/places/<uuid:uid>/looks/", looks.looks, name="looks"),
    path("light/readings/<uuid:uid>/correct/", readings.reading_correct, name="reading-correct"),
    path("light/looks/of/<uuid:uid>/", looks.look_take, name="look-take"),
    path("light/looks/<uuid:uid>/answer/", looks.look_answer, name="look-answer"),
    path("light/timetables/", timetables.timetables, name="timetables"),
    path("light/timetables/new/", timetables.timetable_new, name="timetable-new"),
    path("light/timetables/<uuid:uid>/", timetables.timetable, name="timetable"),
    path(
        "light/timetables/<uuid:uid>/change/", timetables.timetable_change, name="timetable-change"
    ),
    path("light/timetables/<uuid:uid>/hours/", timetables.span_new, name="span-new"),
    path("light/hours/<uuid:uid>/end/", timetables.span_retire, name="span-retire"),
    path("light/timetables/<uuid:uid>/day/", timetables.exception_new, name="exception-new"),
    path("light/days/<uuid:uid>/strike/", timetables.exception_strike, name="exception-strike"),
    path("light/instruments/", instruments.instruments, name="instruments"),
    path("light/instruments/new/", instruments.instrument_new, name="instrument-new"),
    path("light/instruments/<uuid:uid>/", instruments.instrument_change, name="instrument-change"),
]
