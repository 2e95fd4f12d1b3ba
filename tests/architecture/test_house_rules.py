"""The habits of the house that linters can't hold, read from the source tree itself."""

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models

from lifecycle.process.sheet import as_markdown, process_sheet, words_table
from lifecycle.records.base import AppendOnly, Kept

ROOT = Path(__file__).resolve().parents[2]
CODE = ROOT / "lifecycle"
LONGEST = 400
BANNED_NAMES = {"utils", "helpers", "common", "services", "managers", "misc", "util"}
WRITING = {
    *("save", "keep", "keep_all", "take_out_all"),
    *("append_row", "create", "get_or_create", "update_or_create"),
}
WRITING_FLOORS = {"actions", "records"}

# Rows that are neither kept nor append-only, each with its reason.
NO_HISTORY = {
    "Account": "sign-in only; the person's record is kept",
    "Counter": "the last number given out, nothing else",
    "Work": "a piece of work is its own record",
    "Letter": "a mail's row moves through its states; its times stay on it",
    "Message": "a mail's row moves through its states; its times stay on it",
    "Heartbeat": "the last sign of life of a process",
}


def sources(*floors: str) -> Iterator[Path]:
    for floor in floors or ("",):
        for path in sorted((CODE / floor).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def floor_of(path: Path) -> str:
    return path.relative_to(CODE).parts[0]


def test_no_file_is_longer_than_a_subject_should_be() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in [*sources(), *sorted((ROOT / "tests").rglob("*.py"))]
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }
    assert long == {}


def test_no_module_has_a_name_that_says_nothing() -> None:
    assert [p for p in sources() if p.stem in BANNED_NAMES or p.parent.name in BANNED_NAMES] == []


def assignments_to(name: str, tree: ast.AST) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        targets: list[ast.expr] = []
        if isinstance(node, ast.Assign):
            targets = node.targets
        elif isinstance(node, ast.AugAssign | ast.AnnAssign):
            targets = [node.target]
        for target in targets:
            if isinstance(target, ast.Attribute) and target.attr == name:
                yield node


def test_only_the_moves_write_a_stage() -> None:
    writers = {
        path.relative_to(CODE).parts[:2]
        for path in sources()
        if any(assignments_to("stage", ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert writers == {("actions", "moves")}


def test_only_actions_and_records_write_rows() -> None:
    found = []
    for path in sources():
        if floor_of(path) in WRITING_FLOORS or floor_of(path).endswith(".py"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                continue
            on = ast.unparse(node.func.value)
            written = node.func.attr in {"keep", "append_only"} or (
                node.func.attr in WRITING and on.endswith(("objects", "_set"))
            )
            if written:
                found.append(f"{path.relative_to(ROOT)}:{node.lineno} {on}.{node.func.attr}")
    assert found == []


def our_models() -> list[type[models.Model]]:
    found = apps.get_app_config("records").get_models()
    return [model for model in found if not model.__name__.startswith("Historical")]


def through_or_history(model: type[models.Model]) -> bool:
    return bool(model._meta.auto_created) or hasattr(model, "history_id")


def test_every_model_is_kept_or_written_once_or_named_here_with_its_reason() -> None:
    neither = {
        model.__name__
        for model in our_models()
        if not issubclass(model, Kept | AppendOnly) and not through_or_history(model)
    }
    assert neither - set(NO_HISTORY) - history_parts() == set()


def history_parts() -> set[str]:
    """Tables that django-simple-history makes for many-to-many fields."""
    return {model.__name__ for model in our_models() if hasattr(model, "m2m_history_id")}


@pytest.mark.parametrize("model", [m for m in our_models() if issubclass(m, Kept)])
def test_a_kept_model_shows_its_history(model: type[models.Model]) -> None:
    assert hasattr(model, "history"), f"{model.__name__} needs history = kept_history()"


def test_no_model_has_a_default_order() -> None:
    ordered = [m.__name__ for m in our_models() if m._meta.ordering and not through_or_history(m)]
    assert ordered == ["Account"] or ordered == []


def test_signals_are_connected_in_one_place_only() -> None:
    found = [
        str(path.relative_to(CODE))
        for path in sources()
        if ".connect(" in path.read_text(encoding="utf-8")
        and "dispatch_uid" in path.read_text(encoding="utf-8")
    ]
    assert found == ["records/apps.py"]


def test_every_setting_that_is_asked_for_is_one_that_is_read() -> None:
    """A misspelt one behind getattr() is never missed: its default stands for ever."""
    asked = {
        found
        for path in sources()
        for pair in re.findall(
            r'\bsettings\.([A-Z_]+)|getattr\(settings, "([A-Z_]+)"', path.read_text("utf-8")
        )
        for found in pair
        if found
    }
    assert {name for name in asked if not hasattr(settings, name)} == set()


def test_no_file_names_a_path_of_one_machine() -> None:
    listed = subprocess.run(
        ["git", "grep", "-nIE", r"/(work|farm|root)/[a-z]", "--", ".", ":!tests/architecture"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert listed.stdout == ""


def test_the_pinned_versions_name_no_address() -> None:
    pinned = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8")
    assert "://" not in pinned
    assert "@ file" not in pinned
    assert "==" in pinned


def test_the_handbook_prints_the_process_as_it_is() -> None:
    handbook = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    begun = handbook.split("<!-- process sheet: begin -->")[1]
    printed = begun.split("<!-- process sheet: end -->")[0]

    assert printed.strip() == process_sheet().strip()


def test_the_handbook_prints_the_words_as_the_help_page_does() -> None:
    handbook = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    printed = handbook.split("<!-- words: begin -->")[1].split("<!-- words: end -->")[0]
    assert printed.strip() == as_markdown(words_table())


def test_days_in_sentences_are_written_by_one_helper() -> None:
    """'Mon 14 Dec 2026' everywhere, as on the pages: never by a pattern of one's own."""
    own = re.compile(r":%d[. ]%[mBb][. ]%Y|:%d\.%m")
    assert [p for p in sources() if own.search(p.read_text(encoding="utf-8"))] == []
