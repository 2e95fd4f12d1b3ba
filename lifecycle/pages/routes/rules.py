"""Addresses of the house rules and of the museum's own lists."""

from django.urls import path

from lifecycle.pages.rules import in_use, views, words

urlpatterns = [
    path("house-rules/", views.house_rules, name="house-rules"),
    path("house-rules/new/", views.rules_new, name="house-rules-new"),
    path("house-rules/start/", views.rules_start, name="house-rules-start"),
    path("house-rules/classes/new/", views.class_new, name="class-new"),
    path("in-use/", in_use.in_use, name="in-use"),
    path("vocabularies/", words.vocabularies, name="vocabularies"),
    path("vocabularies/<slug:name>/", words.vocabulary, name="vocabulary"),
    path("vocabularies/<slug:name>/new/", words.word_new, name="word-new"),
    path("words/<uuid:uid>/change/", words.word_change, name="word-change"),
    path("words/<uuid:uid>/retire/", words.word_retire, name="word-retire"),
    path("words/<uuid:uid>/back/", words.word_back, name="word-back"),
]
