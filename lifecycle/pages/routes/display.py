"""Addresses of display: asking, answering, installing, turning, taking down, ending."""

from django.urls import path

from lifecycle.pages.display import (
    appointments,
    assess,
    ending,
    install,
    install_case,
    request_lists,
    requests,
    swaps,
    take_down,
    taking_over_list,
    turns,
)

urlpatterns = [
    path("exhibitions/<uuid:uid>/ask/", requests.request_new, name="request-new"),
    path(
        "exhibitions/<uuid:uid>/ask-by-list/",
        request_lists.request_list_new,
        name="request-list-new",
    ),
    path("request-lists/<uuid:uid>/", request_lists.request_list, name="request-list"),
    path("request-lists/<uuid:uid>/csv/", request_lists.request_list_csv, name="request-list-csv"),
    path(
        "request-lines/<uuid:uid>/again/",
        request_lists.request_line_again,
        name="request-line-again",
    ),
    path("exhibitions/<uuid:uid>/take-over/", ending.take_over_page, name="take-over"),
    path(
        "exhibitions/<uuid:uid>/take-over-list/",
        taking_over_list.take_over_list,
        name="take-over-list",
    ),
    path(
        "exhibitions/<uuid:uid>/take-over-table.<str:kind>",
        taking_over_list.take_over_table,
        name="take-over-table",
    ),
    path("take-overs/<uuid:uid>/", taking_over_list.take_over_done, name="take-over-done"),
    path("showings/<uuid:uid>/answer/", requests.request_answer, name="request-answer"),
    path("answers/<uuid:uid>/figures/", requests.answer_figures, name="answer-figures"),
    path("showings/<uuid:uid>/override/", requests.request_override, name="request-override"),
    path("showings/<uuid:uid>/decline/", requests.request_decline, name="decline"),
    path("showings/<uuid:uid>/assess/", assess.assess, name="assess"),
    path("assessments/<uuid:uid>/sign/", assess.assess_sign, name="assess-sign"),
    path("showings/<uuid:uid>/withdraw/", ending.withdraw_page, name="withdraw"),
    path("showings/<uuid:uid>/install/", install.install_page, name="install"),
    path("install/", install.install_by_code, name="install-by-code"),
    path("places/<uuid:uid>/install/", install_case.install_case_page, name="install-case"),
    path("showings/<uuid:uid>/turn/", turns.turn_page, name="turn"),
    path("showings/<uuid:uid>/show-again/", turns.show_again_page, name="show-again"),
    path("showings/<uuid:uid>/swap/", swaps.swap_page, name="swap"),
    path("showings/<uuid:uid>/take-down/", take_down.take_down_page, name="take-down"),
    path("showings/<uuid:uid>/send-home/", ending.send_home_page, name="send-home"),
    path("showings/<uuid:uid>/pass-on/", ending.pass_on_page, name="pass-on"),
    path("showings/<uuid:uid>/plan/", appointments.appointment_new, name="appointment-new"),
    path("appointments/<uuid:uid>/move/", appointments.appointment_move, name="appointment-move"),
    path(
        "appointments/<uuid:uid>/call-off/",
        appointments.appointment_cancel,
        name="appointment-cancel",
    ),
]
