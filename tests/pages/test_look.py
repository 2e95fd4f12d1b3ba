"""The frame of every page: themes, error pages, tags, and no code inside a page."""

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.template import Context, Template
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone
from django.views.defaults import server_error

from lifecycle.actions.refusals import Conflict
from lifecycle.pages.errors import conflict_page
from lifecycle.pages.navigation import MAIN_PAGES, navigation_for
from lifecycle.pages.templatetags.look import MARKS
from lifecycle.process.stages import Role
from tests.builders.core import make_museum, make_object, make_person
from tests.pages.signing_in import visitor

TEMPLATES = Path(__file__).parents[2] / "templates"


def render(text: str, **values: Any) -> str:
    return Template("{% load look %}" + text).render(Context(values)).replace("\u00a0", " ")


class TestWords:
    """Dates say how far they are, numbers carry their unit."""

    at = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

    def test_a_day_says_how_far_it_is(self) -> None:
        said = render("{% when day %}", day=date(2026, 12, 14), at=self.at)
        assert re.sub("<[^>]+>", "", said) == "Mon 14 Dec, in 19 days"
        assert 'datetime="2026-12-14"' in said

    @pytest.mark.parametrize(
        ("day", "said"),
        [
            (date(2026, 11, 25), "today"),
            (date(2026, 11, 26), "tomorrow"),
            (date(2026, 11, 24), "yesterday"),
            (date(2026, 11, 1), "24 days ago"),
            (date(2031, 3, 7), "in 4 years and 3 months"),
            (date(2027, 11, 25), "in 1 year"),
            (date(2026, 3, 24), "8 months ago"),
        ],
    )
    def test_distances_are_said_as_people_say_them(self, day: date, said: str) -> None:
        assert render("{% when day %}", day=day, at=self.at).endswith(f", {said}")

    def test_a_day_that_is_missing_says_so(self) -> None:
        assert "not set" in render("{% when day %}", day=None, at=self.at)

    def test_the_day_of_a_moment_is_the_day_on_the_museums_clock(self) -> None:
        late = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)
        with timezone.override("Europe/London"):
            assert "Thu 2 Jul" in render("{% when day %}", day=late, at=self.at)
            assert "Thu 2 Jul 2026, 00:30" in render("{{ day|instant }}", day=late)

    @pytest.mark.parametrize(
        ("value", "unit", "said"),
        [
            (61968, "lx·h", "61,968 lx·h"),
            (Decimal("42.50"), "mm", "42.5 mm"),
            (0, "lx", "0 lx"),
            (1.0, "", "1"),
        ],
    )
    def test_a_number_carries_its_unit(self, value: Any, unit: str, said: str) -> None:
        text = render("{% number value unit %}", value=value, unit=unit)
        assert re.sub("<[^>]+>", "", text) == said

    def test_a_number_that_is_missing_stays_empty(self) -> None:
        assert render("{% number value 'mm' %}", value=None) == ""

    def test_every_mark_is_a_shape_with_a_word(self) -> None:
        for state, (_, _, word) in MARKS.items():
            text = render("{% mark state %}", state=state)
            assert "<svg" in text
            assert f"<span>{word}</span>" in text

    def test_what_is_late_and_what_is_done_have_no_shape_in_common(self) -> None:
        """Status is never colour alone, so no shape stands for a stop here and for an end there."""
        shapes: dict[str, set[str]] = {}
        for shape, tint, _ in MARKS.values():
            shapes.setdefault(tint, set()).add(shape)
        assert not shapes["stop"] & shapes["done"]

    def test_an_unknown_state_is_said_not_swallowed(self) -> None:
        text = render("{% mark 'at_risk' %}")
        assert "<svg" in text
        assert "at risk" in text

    def test_what_stands_in_a_mark_or_number_is_escaped(self) -> None:
        text = render("{% mark 'late' word %}{{ word|object_number }}", word="<b>x")
        assert "<b>" not in text


@pytest.mark.django_db
class TestFrame:
    """Header, themes, navigation."""

    def test_the_theme_is_remembered_and_comes_with_the_page(self) -> None:
        make_museum()
        client = visitor(Role.CURATOR)
        assert 'data-theme="auto"' in client.get("/me/").content.decode()
        answer = client.post(reverse("theme"), {"theme": "gallery", "back": "/me/"})
        assert answer["Location"] == "/me/"
        text = client.get("/me/").content.decode()
        assert 'data-theme="gallery"' in text
        assert '<meta name="color-scheme" content="dark">' in text

    @pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example"])
    def test_the_switch_sends_nobody_away(self, back: str) -> None:
        answer = Client().post(reverse("theme"), {"theme": "gallery", "back": back})
        assert answer["Location"] == "/"

    @pytest.mark.parametrize("theme", ["", "neon", "gallery'><script>"])
    def test_an_unknown_theme_is_not_kept(self, theme: str) -> None:
        answer = Client().post(reverse("theme"), {"theme": theme})
        assert "theme" not in answer.cookies
        client = Client()
        client.cookies["theme"] = theme
        assert 'data-theme="auto"' in client.get(reverse("keys")).content.decode()

    def test_the_header_names_the_person_and_their_roles(self) -> None:
        make_museum()
        someone = make_person(Role.CURATOR, Role.REGISTRAR, name="Wen Hartsell")
        text = visitor(person=someone).get("/me/").content.decode()
        assert "Wen Hartsell" in text
        assert "curator, registrar" in text

    def test_navigation_shows_only_what_the_role_meets_and_the_museum_uses(self) -> None:
        steward = navigation_for({Role.STEWARD}, used=frozenset(), path="/people/")
        assert [word.label for word in steward if word.is_here] in (["Steward"], [])
        labels = {word.label for word in navigation_for({Role.COURIER}, used=frozenset(), path="/")}
        assert "Places" not in labels
        loans = next(page for page in MAIN_PAGES if page.label == "Loans")
        assert loans.used == "loans"
        registrar = navigation_for({Role.REGISTRAR}, used=frozenset(), path="/")
        assert "Loans" not in {word.label for word in registrar}

    def test_every_main_page_has_its_own_letter(self) -> None:
        letters = [page.letter for page in MAIN_PAGES]
        assert len(set(letters)) == len(letters)

    def test_the_list_of_keys_is_there_without_scripts(self) -> None:
        make_museum()
        text = visitor(Role.REGISTRAR).get(reverse("keys")).content.decode()
        assert "Go to the search box" in text


@pytest.mark.django_db
class TestErrorPages:
    """Each says in words what happened, and that nothing was changed."""

    def test_not_found(self) -> None:
        make_museum()
        answer = visitor(Role.CURATOR).get("/nowhere/")
        assert answer.status_code == 404
        assert "There is nothing at this address" in answer.content.decode()

    def test_not_yours(self) -> None:
        make_museum()
        answer = visitor(Role.CURATOR).get(reverse("people"))
        assert answer.status_code == 403
        assert "may not do this" in answer.content.decode()

    def test_our_fault_even_without_a_person(self) -> None:
        answer = server_error(RequestFactory().get("/"))
        assert answer.status_code == 500
        assert "Something went wrong on our side" in answer.content.decode()

    def test_too_large(self, settings: Any) -> None:
        settings.MAX_UPLOAD_MB = 1
        make_museum()
        answer = visitor(Role.REGISTRAR).post(
            reverse("object-new"), {"title": "x" * (1024 * 1024 + 10)}
        )
        assert answer.status_code == 413
        assert "Nothing was kept" in answer.content.decode()

    def test_two_people_on_one_text(self) -> None:
        make_museum()
        request = RequestFactory().post(
            "/somewhere/", {"summary": "mine <b>", "other": ["a", "b"], "version": "3"}
        )
        conflict = Conflict(
            "Changed.",
            theirs={"summary": "theirs <i>"},
            mine={"summary": "mine <b>"},
            by="Piers Tamm",
            version=4,
        )
        answer = conflict_page(request, conflict)
        text = answer.content.decode()
        assert answer.status_code == 409
        assert "theirs &lt;i&gt;" in text
        assert "mine &lt;b&gt;</textarea>" in text
        assert text.count('name="other"') == 2
        assert '<input type="hidden" name="version" value="4">' in text
        assert "Piers Tamm" in text

    def test_what_both_wrote_alike_is_not_contested_and_travels_along(self) -> None:
        make_museum()
        request = RequestFactory().post("/somewhere/", {"summary": "mine", "note": "the same"})
        conflict = Conflict(
            "Changed.",
            theirs={"summary": "theirs", "note": "the same"},
            mine={"summary": "mine", "note": "the same"},
            by="Piers Tamm",
            version=4,
        )
        text = conflict_page(request, conflict).content.decode()
        assert text.count("<textarea") == 1
        assert '<input type="hidden" name="note" value="the same">' in text
        assert "Somebody else changed this meanwhile" in text
        request.person = make_person(name="Piers Tamm")  # type: ignore[attr-defined]
        own = conflict_page(request, conflict).content.decode()
        assert "You changed this yourself meanwhile" in own


class TestStyles:
    """One set of tokens, three themes, nothing inside the page that the policy refuses."""

    def tokens(self) -> str:
        path = finders.find("showrest/tokens.css")
        assert path is not None
        return Path(path).read_text()

    @staticmethod
    def named(block: str) -> dict[str, str]:
        return dict(re.findall(r"--([a-z0-9-]+):\s*([^;]+);", block))

    def test_the_gallery_theme_is_the_same_by_choice_and_by_device(self) -> None:
        text = self.tokens()
        chosen = re.search(r'\[data-theme="gallery"\] \{(.*?)\n\}', text, re.S)
        asked = re.search(r'\[data-theme="auto"\] \{(.*?)\n  \}', text, re.S)
        assert chosen
        assert asked
        assert self.named(chosen[1]) == self.named(asked[1])

    @pytest.mark.parametrize("theme", ["root", "gallery"])
    @pytest.mark.parametrize(
        ("ink", "ground", "least"),
        [
            ("ink", "ground", 7.0),
            ("quiet", "ground", 4.5),
            ("quiet", "sunk", 4.5),
            ("accent", "ground", 4.5),
            ("accent", "sunk", 4.5),
            ("on-accent", "accent", 4.5),
            ("attend", "attend-tint", 4.5),
            ("stop", "stop-tint", 4.5),
            ("stop", "surface", 4.5),
            ("edge", "surface", 3.0),
            ("focus", "ground", 3.0),
        ],
    )
    def test_contrast_is_enough(self, theme: str, ink: str, ground: str, least: float) -> None:
        # WCAG 2.2, success criteria 1.4.3 (4.5:1) and 1.4.11 (3:1); formula: 'contrast ratio'.
        text = self.tokens()
        start = ":root {" if theme == "root" else '[data-theme="gallery"] {'
        block = text[text.index(start) :]
        colours = self.named(block[: block.index("\n}")])
        assert contrast(colours[ink], colours[ground]) >= least

    def test_no_template_of_ours_carries_code_or_styles_inside(self) -> None:
        for path in TEMPLATES.rglob("*.html"):
            text = path.read_text()
            assert not re.search(r"\sstyle=", text), path
            assert not re.search(r"\son[a-z]+=\"", text), path
            assert "<style" not in text, path
            for script in re.findall(r"<script[^>]*>", text):
                assert "src=" in script or "application/json" in script, path

    def test_pages_are_sent_with_a_policy_that_refuses_other_hosts(self) -> None:
        policy = Client().get("/sign-out/")["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "unsafe-inline" not in policy

    test_pages_are_sent_with_a_policy_that_refuses_other_hosts = pytest.mark.django_db(
        test_pages_are_sent_with_a_policy_that_refuses_other_hosts
    )


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours '#rrggbb' after WCAG 2.2, 'relative luminance'."""

    def luminance(colour: str) -> float:
        text = colour.lstrip("#")
        text = "".join(letter * 2 for letter in text) if len(text) == 3 else text
        parts = [int(text[i : i + 2], 16) / 255 for i in (0, 2, 4)]
        linear = [
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.django_db
def test_a_wide_form_field_keeps_its_help_and_error_tied_to_it() -> None:
    make_museum()
    make_object(object_number="HCM.1")
    answer = visitor(Role.REGISTRAR).post(reverse("object-new"), {"object_number": "HCM.1"})
    text = answer.content.decode()
    number = re.search(r'<input[^>]*name="object_number"[^>]*>', text)
    title = re.search(r'<input[^>]*name="title"[^>]*>', text)
    assert number
    assert title
    assert "id_object_number_helptext" in number[0]
    assert 'aria-invalid="true"' in title[0]
    assert 'aria-describedby="id_title_error"' in title[0]
    assert 'id="id_title_error"' in text
