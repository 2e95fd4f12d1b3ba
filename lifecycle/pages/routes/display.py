"""Addresses of display: asking, answering, installing, turning, taking down, ending."""

from django.urls import path

from lifecycle.pages.display import (
    appointments,
    assess,
    ending,
    install,
    install_case,
    requests,
    take_down,
    turns,
)

urlpatterns = [
    path("exhibitions/<uuid:uid>/ask/", requests.request_new, name="request-new"),
    path("exhibitions/<uuid:uid>/take-over/", ending.take_over_page, name="take-over"),
    path("showings/<uuid:uid>/answer/", requests.request_answer, name="request-answer"),
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
    path("showings/<uuid:uid>/swap/", turns.swap_page, name="swap"),
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
