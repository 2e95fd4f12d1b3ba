"""Addresses of loans."""

from django.urls import path

from lifecycle.pages.loans import views

urlpatterns = [
    path("loans/", views.loans, name="loans"),
    path("loans/new/", views.loan_new, name="loan-new"),
    path("loans/<uuid:uid>/", views.loan, name="loan"),
    path("loans/<uuid:uid>/change/", views.loan_change, name="loan-change"),
    path("loans/<uuid:uid>/extend/", views.loan_extend, name="loan-extend"),
    path("loans/<uuid:uid>/clauses/new/", views.clause_new, name="clause-new"),
    path("loans/<uuid:uid>/exit/", views.loan_exit, name="loan-exit"),
    path("loans/<uuid:uid>/receipt/", views.loan_receipt, name="loan-receipt"),
    path("clauses/<uuid:uid>/state/", views.clause_state, name="clause-state"),
    path("clauses/<uuid:uid>/waive/", views.clause_waive, name="clause-waive"),
    path("showings/<uuid:uid>/lender-leave/", views.lender_leave, name="lender-leave"),
]
