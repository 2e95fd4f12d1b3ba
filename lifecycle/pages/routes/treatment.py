"""Addresses of treatment."""

from django.urls import path

from lifecycle.pages.treatment import (
    bench,
    call_backs,
    cautions,
    consent,
    finding,
    material_tests,
    materials,
    proposals,
    report,
    sequences,
    standing,
    starting_sequences,
    told,
)

urlpatterns = [
    path("showings/<uuid:uid>/propose/", proposals.proposal_start, name="proposal-start"),
    path("showings/<uuid:uid>/proposals/", proposals.proposals_of, name="proposals-of"),
    path("proposals/<uuid:uid>/", proposals.proposal_page, name="proposal"),
    path("proposals/<uuid:uid>/write/", proposals.proposal_write, name="proposal-write"),
    path("proposals/<uuid:uid>/next/", proposals.proposal_next, name="proposal-next"),
    path("proposals/<uuid:uid>/drop/", proposals.proposal_drop, name="proposal-drop"),
    path("proposals/versions/<uuid:uid>/send/", proposals.proposal_send, name="proposal-send"),
    path("proposals/versions/<uuid:uid>/consent/", consent.consent, name="consent"),
    path(
        "proposals/versions/<uuid:uid>/writing/", consent.consent_on_paper, name="consent-writing"
    ),
    path(
        "proposals/versions/<uuid:uid>/community/", told.consent_community, name="consent-community"
    ),
    path(
        "treatment/steps/<uuid:uid>/deviation/answer/",
        told.deviation_answer,
        name="deviation-answer",
    ),
    path("treatment/steps/<uuid:uid>/deviation/", consent.deviation, name="deviation"),
    path("treatment/steps/<uuid:uid>/finding/", finding.finding_new, name="finding-new"),
    path("treatment/findings/<uuid:uid>/", finding.treatment_finding, name="treatment-finding"),
    path("treatment/asked/<uuid:uid>/", finding.asked_again_answer, name="asked-again"),
    path("proposals/<uuid:uid>/bench/", bench.bench, name="bench"),
    path("objects/<uuid:uid>/bench/", bench.bench_object, name="bench-object"),
    path(
        "proposals/<uuid:uid>/bench/sequences/<uuid:sequence>/",
        sequences.sequence_run,
        name="step-sequence-run",
    ),
    path(
        "objects/<uuid:uid>/bench/sequences/<uuid:sequence>/",
        sequences.sequence_run_object,
        name="step-sequence-run-object",
    ),
    path("treatment/cautions/", cautions.caution_list, name="caution-rules"),
    path("treatment/cautions/new/", cautions.caution_new, name="caution-rule-new"),
    path(
        "treatment/cautions/<slug:trait>/<slug:brings>/",
        cautions.caution_change,
        name="caution-rule",
    ),
    path("treatment/sequences/", sequences.sequence_list, name="step-sequences"),
    path(
        "treatment/sequences/start/",
        starting_sequences.sequences_start,
        name="step-sequences-start",
    ),
    path("treatment/sequences/new/", sequences.sequence_write, name="step-sequence-new"),
    path("treatment/sequences/<uuid:uid>/", sequences.sequence_write, name="step-sequence"),
    path(
        "treatment/sequences/<uuid:uid>/away/", sequences.sequence_away, name="step-sequence-away"
    ),
    path("proposals/<uuid:uid>/report/", report.treatment_report, name="treatment-report"),
    path(
        "treatment/reports/<uuid:uid>/pictures/", report.report_pair, name="treatment-report-pair"
    ),
    path("treatment/reports/<uuid:uid>/sign/", report.report_sign, name="treatment-report-sign"),
    path("standing-consents/", standing.standing_list, name="standing-consents"),
    path("standing-consents/new/", standing.standing_new, name="standing-new"),
    path("standing-consents/<uuid:uid>/agree/", standing.standing_agree, name="standing-agree"),
    path("standing-consents/<uuid:uid>/end/", standing.standing_end, name="standing-end"),
    path("materials/", materials.materials, name="materials"),
    path("materials/new/", materials.material_new, name="material-new"),
    path("materials/treated/", call_backs.treated_with, name="treated-with"),
    path("materials/<uuid:uid>/", materials.material, name="material"),
    path("materials/<uuid:uid>/tests/", material_tests.material_result, name="material-result"),
    path("call-backs/", call_backs.call_backs, name="call-backs"),
    path("call-backs/<uuid:uid>/end/", call_backs.call_back_end, name="call-back-end"),
]
