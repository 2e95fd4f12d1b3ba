"""Addresses of people and accounts, and of one's own page."""

from django.urls import path

from lifecycle.pages.people import accounts, colleagues, leaving, posts, rights, views

urlpatterns = [
    path("me/", views.me, name="me"),
    path("people/", views.people, name="people"),
    path("people/new/", colleagues.person_new, name="person-new"),
    path("people/<uuid:uid>/", views.person_page, name="person"),
    path("people/<uuid:uid>/change/", views.person_change, name="person-change"),
    path("people/<uuid:uid>/roles/new/", posts.role_new, name="role-new"),
    path("roles/<uuid:uid>/end/", posts.role_end, name="role-end"),
    path("people/<uuid:uid>/deputies/new/", posts.deputy_new, name="deputy-new"),
    path("deputies/<uuid:uid>/end/", posts.deputy_end, name="deputy-end"),
    path("people/<uuid:uid>/passes/new/", posts.pass_new, name="pass-new"),
    path("passes/<uuid:uid>/end/", posts.pass_end, name="pass-end"),
    path("people/<uuid:uid>/account/", accounts.account_open, name="account-open"),
    path("people/<uuid:uid>/link/", accounts.sign_in_link, name="sign-in-link"),
    path("people/<uuid:uid>/identity/", accounts.identity, name="account-identity"),
    path("people/<uuid:uid>/leaving/", leaving.leaving, name="leaving"),
    path("people/<uuid:uid>/passing-on/", leaving.passing_on, name="passing-on"),
    path("people/<uuid:uid>/back/", leaving.back, name="account-back"),
    path("rights/", rights.who_may, name="rights"),
]
