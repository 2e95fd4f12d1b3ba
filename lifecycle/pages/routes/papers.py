"""Addresses of the papers."""

from django.urls import path

from lifecycle.pages.papers import back, landing, lists, printing, reading_back

urlpatterns = [
    path("papers/", lists.papers, name="papers"),
    path("papers/back/", back.papers_back, name="papers-back"),
    path("papers/lost-or-void/", back.papers_write_off, name="papers-write-off"),
    path("papers/print/", printing.print_chosen, name="print-chosen"),
    path("papers/pack/", printing.papers_pack, name="papers-pack"),
    path("papers/print/<slug:paper>/<uuid:uid>/", printing.print_new, name="print-new"),
    path("papers/<uuid:uid>/", printing.print_page, name="print"),
    path("papers/<uuid:uid>/text/", printing.print_text, name="print-text"),
    path("papers/<uuid:uid>/read-back/", reading_back.print_read_back, name="print-read-back"),
    path("papers/<uuid:uid>/pdf/", printing.print_pdf, name="print-pdf"),
    path("p/<slug:code>/", landing.landing, name="print-landing"),
]
