"""``manage.py labels`` is complete: what the sources show stands in the list."""

import ast
import re
from enum import Enum
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.urls import reverse

from lifecycle.pages.navigation import MAIN_PAGES, OTHER_KEYS
from lifecycle.process.moves import MOVES
from lifecycle.process.stages import Role, Stage
from lifecycle.running.labels import Kind, Label, all_labels
from lifecycle.running.labels.from_code import labels_of_source
from lifecycle.running.labels.from_tables import closed_lists, label_of
from lifecycle.running.labels.from_templates import labels_of_template
from tests.builders.core import make_face, make_museum, make_object, make_person, make_place
from tests.pages.signing_in import visitor

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def labels() -> list[Label]:
    return all_labels()


@pytest.fixture(scope="module")
def texts(labels: list[Label]) -> set[str]:
    return {label.text for label in labels}


def templates() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


def test_every_plain_heading_button_and_column_of_every_template_is_listed(texts: set[str]) -> None:
    plain = re.compile(r"<(h[1-4]|button|th|legend|caption|summary)(?: [^>{}]*)?>([^<>{}]+)</\1>")
    seen = 0
    for path in templates():
        for _, words in plain.findall(path.read_text()):
            line = " ".join(words.split()).replace("&nbsp;", " ")
            if any(letter.isalpha() for letter in line):
                seen += 1
                assert line.replace("\u00a0", " ") in {
                    one.replace("\u00a0", " ") for one in texts
                }, (
                    path,
                    line,
                )
    assert seen > 100


def test_every_plain_page_title_is_listed(labels: list[Label]) -> None:
    titles = {label.text for label in labels if label.kind is Kind.TITLE}
    block = re.compile(r"{% block title %}([^{}<>]+){% endblock")
    found = [words for path in templates() for words in block.findall(path.read_text())]
    assert len(found) > 20
    assert {" ".join(words.split()) for words in found} <= titles


def test_every_word_of_every_closed_list_is_listed(texts: set[str]) -> None:
    lists = closed_lists()
    assert {Stage, Role} <= set(lists)
    for words in lists:
        for member in words:
            text = label_of(member)
            assert text in texts or not any(letter.isalpha() for letter in text), (words, member)


def test_every_closed_list_in_the_source_is_found(texts: set[str]) -> None:
    names = {words.__name__ for words in closed_lists()}
    bases = {"StrEnum", "IntEnum", "Enum", "Word", "ClosedList", "TextChoices"}
    for floor in ("process", "planning", "records", "queries"):
        for path in (ROOT / "lifecycle" / floor).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.ClassDef):
                    inherits = {base.id for base in node.bases if isinstance(base, ast.Name)}
                    members = any(isinstance(line, ast.Assign) for line in node.body)
                    if inherits & bases and members and node.name != "Word":
                        assert node.name in names, (path, node.name)


def test_stages_moves_navigation_and_keys_are_listed(labels: list[Label]) -> None:
    by_kind: dict[Kind, set[str]] = {}
    for label in labels:
        by_kind.setdefault(label.kind, set()).add(label.text)
    assert {page.label for page in MAIN_PAGES} == by_kind[Kind.NAVIGATION]
    assert {move.label for move in MOVES.values()} == by_kind[Kind.MOVE]
    assert {does for _, does in OTHER_KEYS} <= by_kind[Kind.SHORTCUT]
    assert {stage.label for stage in Stage} <= by_kind[Kind.OPTION]


def test_every_label_a_form_gives_its_field_is_listed(texts: set[str]) -> None:
    given = re.compile(r'label="([^"{}]+)"')
    found = 0
    for path in (ROOT / "lifecycle" / "pages").rglob("*.py"):
        for words in given.findall(path.read_text()):
            found += 1
            assert " ".join(words.split()) in texts, (path, words)
    assert found > 100


def test_every_command_is_listed(labels: list[Label]) -> None:
    folder = ROOT / "lifecycle" / "running" / "management" / "commands"
    names = {f"manage.py {path.stem}" for path in folder.glob("[a-z]*.py")}
    assert names == {label.text for label in labels if label.kind is Kind.COMMAND}


def test_paper_headings_are_listed(labels: list[Label]) -> None:
    printed = {label.text for label in labels if label.kind is Kind.PAPER}
    assert len(printed) > 50
    headings = [
        words
        for path in (ROOT / "lifecycle" / "papers").rglob("*.py")
        for words in re.findall(r'Heading\(\s*"([^"{}]+)"', path.read_text())
    ]
    assert len(headings) > 10
    assert set(headings) <= printed


@pytest.mark.django_db
def test_what_a_page_really_shows_stands_in_the_list(texts: set[str]) -> None:
    make_museum()
    stored, place, someone = make_object(), make_place(), make_person(Role.CURATOR)
    make_face(stored)
    pages = [
        (Role.REGISTRAR, "objects", []),
        (Role.REGISTRAR, "object", [stored.uid]),
        (Role.REGISTRAR, "object-change", [stored.uid]),
        (Role.REGISTRAR, "place", [place.uid]),
        (Role.STEWARD, "people", []),
        (Role.STEWARD, "person", [someone.uid]),
        (Role.STEWARD, "role-new", [someone.uid]),
        (Role.HEAD_OF_COLLECTIONS, "house-rules-new", []),
        (Role.REGISTRAR, "calendar", []),
        (Role.REGISTRAR, "papers", []),
        (Role.REGISTRAR, "help", []),
    ]
    patterns = [
        re.compile("^" + re.escape(text).replace("…", ".+") + "$")
        for text in texts
        if "…" in text and len(text.replace("…", "").strip()) > 2
    ]
    plain = re.compile(r"<(button|th|legend|label)(?: [^>]*)?>(.*?)</\1>", re.S)
    seen = 0
    for role, name, args in pages:
        page = visitor(role).get(reverse(name, args=args)).content.decode()
        for _, inner in plain.findall(page):
            line = " ".join(re.sub(r"<[^>]+>", "", inner).split()).replace(" (may stay empty)", "")
            if re.search(r"[A-Za-z]{3}", line) and not re.search(r"\d", line):
                seen += 1
                known = line in texts or any(pattern.match(line) for pattern in patterns)
                assert known or line in own_words(), (name, line)
    assert seen > 60


def own_words() -> set[str]:
    """Names that come from records of this test, not from us."""
    return {"Gallery light", "Day light", "High", "single sheet"}


class TestReading:
    """The readers themselves, on small sources."""

    def test_branches_of_a_template_are_two_labels(self) -> None:
        found = labels_of_template(
            "<button>{% if a %}Pause{% else %}Go on with {{ name }}{% endif %}</button>", "x"
        )
        assert [label.text for label in found] == ["Pause", "Go on with …"]

    def test_words_inside_a_link_and_for_screen_readers_belong_to_it(self) -> None:
        found = list(labels_of_template('<a href="#">End<span> the role</span></a>', "x"))
        assert [(label.kind, label.text) for label in found] == [(Kind.LINK, "End the role")]

    def test_words_handed_to_a_part_are_found(self) -> None:
        text = '{% include "parts/empty.html" with text="Nothing here yet." label="Add one" %}'
        found = {(label.kind, label.text) for label in labels_of_template(text, "x")}
        assert found == {(Kind.EMPTY, "Nothing here yet."), (Kind.BUTTON, "Add one")}

    def test_words_of_a_form_page_and_its_fields_are_found(self) -> None:
        source = (
            "class F(forms.Form):\n"
            '    why = forms.CharField(label="Why")\n'
            "    other_name = forms.CharField()\n"
            'page = FormPage(title=f"Change {name}", submit="Keep" if a else "Leave")\n'
        )
        found = {
            (label.kind, label.text) for label in labels_of_source(source, "lifecycle/pages/x")
        }
        assert found == {
            (Kind.FIELD, "Why"),
            (Kind.FIELD, "Other name"),
            (Kind.TITLE, "Change …"),
            (Kind.BUTTON, "Keep"),
            (Kind.BUTTON, "Leave"),
        }

    def test_a_closed_list_without_labels_is_said_by_its_values(self) -> None:
        class Shade(Enum):
            DEEP_BLUE = "deep_blue"

        assert label_of(Shade.DEEP_BLUE) == "deep blue"


def test_the_command_writes_them_all_and_can_choose(labels: list[Label]) -> None:
    out = StringIO()
    call_command("labels", stdout=out)
    assert out.getvalue().rstrip().endswith(f"{len(labels)} labels.")
    chosen = StringIO()
    call_command("labels", "--kind", "navigation", "--csv", stdout=chosen)
    lines = chosen.getvalue().splitlines()
    assert lines[0] == "kind,label,where"
    assert len(lines) == 1 + len(MAIN_PAGES)
