"""Addresses of everything made for an object."""

from django.urls import path

from lifecycle.pages.preparation import (
    captions,
    cases,
    facsimiles,
    fitting,
    housing,
    housing_tried,
    imaging,
    mounts,
)

urlpatterns = [
    path("showings/<uuid:uid>/imaging/ask/", imaging.imaging_ask, name="imaging-ask"),
    path("imaging/<uuid:uid>/", imaging.imaging, name="imaging"),
    path("imaging/<uuid:uid>/deliver/", imaging.imaging_deliver, name="imaging-deliver"),
    path("imaging/<uuid:uid>/accept/", imaging.imaging_accept, name="imaging-accept"),
    path("imaging/<uuid:uid>/back/", imaging.imaging_back, name="imaging-back"),
    path("imaging/<uuid:uid>/drop/", imaging.imaging_drop, name="imaging-drop"),
    path("showings/<uuid:uid>/facsimile/ask/", facsimiles.facsimile_ask, name="facsimile-ask"),
    path("facsimiles/<uuid:uid>/", facsimiles.facsimile, name="facsimile"),
    path("facsimiles/<uuid:uid>/<slug:step>/", facsimiles.facsimile_step, name="facsimile-step"),
    path("showings/<uuid:uid>/mount/ask/", mounts.mount_ask, name="mount-ask"),
    path("mounts/<uuid:uid>/", mounts.mount, name="mount"),
    path("mounts/<uuid:uid>/ticket/", mounts.mount_measure, name="mount-measure"),
    path("mounts/<uuid:uid>/material/", mounts.mount_material, name="mount-material"),
    path("mounts/<uuid:uid>/aside/", mounts.mount_aside, name="mount-aside"),
    path("mounts/<uuid:uid>/fit/", fitting.fit_check, name="fit-check"),
    path("fit-checks/<uuid:uid>/sign/", fitting.fit_sign, name="fit-sign"),
    path("showings/<uuid:uid>/captions/", captions.captions, name="caption"),
    path("showings/<uuid:uid>/captions/write/", captions.caption_write, name="caption-write"),
    path("captions/<uuid:uid>/approve/", captions.caption_approve, name="caption-approve"),
    path("showings/<uuid:uid>/case/", cases.case_readiness, name="case-readiness"),
    path("cases/<uuid:uid>/ready/", cases.case_ready, name="case-ready"),
    path("showings/<uuid:uid>/light-proof/", cases.light_proof, name="light-proof"),
    path("showings/<uuid:uid>/route/", cases.route, name="route"),
    path("showings/<uuid:uid>/housing/", housing.housing_of, name="housing-of"),
    path("showings/<uuid:uid>/housing/specify/", housing.housing_specify, name="housing-specify"),
    path("housings/<uuid:uid>/", housing.housing, name="housing"),
    path("housings/<uuid:uid>/change/", housing.housing_change, name="housing-change"),
    path("housings/<uuid:uid>/made/", housing.housing_made, name="housing-made"),
    path("housings/<uuid:uid>/try/", housing_tried.housing_try, name="housing-try"),
    path("housings/<uuid:uid>/label/", housing_tried.housing_label, name="housing-label"),
    path("housings/<uuid:uid>/aside/", housing.housing_aside, name="housing-aside"),
]
