"""Addresses of condition reports and of their parts."""

from django.urls import path

from lifecycle.pages.condition import (
    comparing,
    deinstall,
    faces,
    findings,
    ink,
    looking,
    marking,
    report,
    signing,
    start,
    writing,
)

_REPORT = "condition/<uuid:uid>/"

urlpatterns = [
    path("showings/<uuid:uid>/condition/", start.start_for_showing, name="condition-start"),
    path("showings/<uuid:uid>/part-a/", deinstall.part_a, name="part-a"),
    path("showings/<uuid:uid>/part-b/", deinstall.part_b, name="part-b"),
    path("objects/<uuid:uid>/condition/", start.start_for_object, name="object-condition-start"),
    path(_REPORT, report.report_page, name="condition-report"),
    path(_REPORT + "text/", report.report_text, name="condition-text"),
    path(_REPORT + "circumstances/", writing.circumstances, name="condition-circumstances"),
    path(
        _REPORT + "sections/<slug:name>/take/", writing.section_take, name="condition-section-take"
    ),
    path(
        _REPORT + "sections/<slug:name>/give-back/",
        writing.section_give_back,
        name="condition-section-give-back",
    ),
    path(_REPORT + "conclusions/", writing.conclusions, name="condition-conclusions"),
    path(_REPORT + "sections/<slug:name>/", writing.section, name="condition-section"),
    path(_REPORT + "faces/", faces.faces, name="condition-faces"),
    path(_REPORT + "findings/", findings.finding_new, name="condition-finding-new"),
    path(_REPORT + "annotations/", marking.annotations, name="condition-annotations"),
    path(_REPORT + "answers/", findings.answers, name="condition-answers"),
    path(_REPORT + "lights/", looking.light_new, name="condition-light-new"),
    path(_REPORT + "not-seen/", looking.not_seen_new, name="condition-not-seen-new"),
    path(_REPORT + "recommendations/", looking.advice_new, name="condition-advice-new"),
    path(_REPORT + "ink/", ink.ink_new, name="ink-new"),
    path(_REPORT + "ink-tests/", ink.ink_test_new, name="ink-test-new"),
    path("inked-areas/<uuid:uid>/take-back/", ink.ink_back, name="ink-back"),
    path("ink-tests/<uuid:uid>/take-back/", ink.ink_test_back, name="ink-test-back"),
    path("objects/<uuid:uid>/ink/", ink.object_ink, name="object-ink"),
    path("faces/<uuid:uid>/ink-sign-off/", ink.ink_sign_off, name="ink-sign-off"),
    path(_REPORT + "as-found/", deinstall.as_found, name="condition-as-found"),
    path(_REPORT + "bench/", deinstall.bench_check, name="condition-bench"),
    path(_REPORT + "sign/", signing.sign, name="condition-sign"),
    path(_REPORT + "countersign/", signing.countersign, name="condition-countersign"),
    path(_REPORT + "left-unsigned/", signing.left_unsigned, name="condition-left-unsigned"),
    path(_REPORT + "correct/", signing.correct, name="condition-correct"),
    path(_REPORT + "strike/", signing.strike, name="condition-strike"),
    path(_REPORT + "compare/", comparing.comparison, name="condition-compare"),
    path("findings/<uuid:uid>/", findings.finding, name="condition-finding"),
    path("findings/<uuid:uid>/take-back/", findings.finding_back, name="condition-finding-back"),
    path("findings/<uuid:uid>/undo/", marking.undo, name="condition-finding-undo"),
    path("findings/<uuid:uid>/verdict/", deinstall.verdict, name="condition-verdict"),
    path("report-faces/<uuid:uid>/", looking.face_picture, name="condition-face"),
    path("report-faces/<uuid:uid>/scale/", marking.scale, name="condition-scale"),
    path("lights-used/<uuid:uid>/take-back/", looking.light_back, name="condition-light-back"),
    path("not-seen/<uuid:uid>/take-back/", looking.not_seen_back, name="condition-not-seen-back"),
    path(
        "recommendations/<uuid:uid>/take-back/", looking.advice_back, name="condition-advice-back"
    ),
    path("recommendations/<uuid:uid>/", looking.advice_answer, name="condition-advice-answer"),
]
