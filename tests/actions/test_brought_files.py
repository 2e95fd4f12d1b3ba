"""A form that is refused leaves no file behind: what no row names goes out of the store again."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from lifecycle.actions import brought_files
from lifecycle.actions.brought_files import gone_unless_named
from lifecycle.actions.pictures import receive_picture, store_document, store_picture
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.kept_files import keep_file
from lifecycle.process.stages import Role
from lifecycle.queries.pictures import named_by_no_row, stored_files
from lifecycle.records.models import Document, Picture, PicturePurpose
from tests.builders.condition import picture_bytes
from tests.builders.core import AT, make_person

PAGES = Path(__file__).parents[2] / "lifecycle" / "pages"
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def hand() -> dict[str, Any]:
    return {"by": make_person(Role.REGISTRAR), "role": Role.REGISTRAR, "at": AT}


def a_form(hand: dict[str, Any], *, refused: bool) -> None:
    """A form that brings a scan and a picture, each kept before it is known to be refused."""
    with gone_unless_named():
        checked = receive_picture(picture_bytes())
        with transaction.atomic():
            store_document(data=PDF, name="sheet.pdf", title="Sheet", **hand)
            store_picture(data=checked, name="p.jpg", purpose=PicturePurpose.OTHER, **hand)
            if refused:
                raise Refused("The password is wrong.")


@pytest.mark.django_db
def test_a_refused_form_leaves_neither_rows_nor_files(hand: dict[str, Any]) -> None:
    with pytest.raises(Refused):
        a_form(hand, refused=True)
    assert (Document.objects.count(), Picture.objects.count()) == (0, 0)
    assert list(stored_files()) == []


@pytest.mark.django_db
def test_what_is_kept_stays_and_a_later_refusal_of_the_same_bytes_takes_nothing(
    hand: dict[str, Any],
) -> None:
    a_form(hand, refused=False)
    kept = sorted(stored_files())
    assert len(kept) == 4  # the scan; the picture with its screen picture and thumbnail
    with pytest.raises(Refused):
        a_form(hand, refused=True)
    assert sorted(stored_files()) == kept


@pytest.mark.django_db
def test_a_file_that_went_with_somebody_elses_refusal_is_there_again_once_its_row_is(
    hand: dict[str, Any], tmp_path: Path, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        a_form(hand, refused=False)
        kept = sorted(stored_files())
        for name in kept:
            (tmp_path / name).unlink()
    assert sorted(stored_files()) == kept


def test_a_file_that_another_row_names_by_the_time_it_is_out_is_put_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unnamed = iter([True, False])

    def asked(files: list[str]) -> list[str]:
        return [name for name in files if next(unnamed)]

    monkeypatch.setattr(brought_files, "named_by_no_row", asked)
    with gone_unless_named():
        keep_file("documents/ab/abcd.pdf", PDF)
    assert list(stored_files()) == ["documents/ab/abcd.pdf"]


def test_files_of_another_kind_are_not_asked_after() -> None:
    assert named_by_no_row(["tables/ab/abc", "logs/ab/abc"]) == []  # and no query: no database here


def calls(node: ast.AST) -> Iterator[tuple[str, bool]]:
    """The names called within a function, each with whether that is inside a transaction."""
    for child in ast.iter_child_nodes(node):
        inside = isinstance(child, ast.With) and any(
            "atomic" in ast.unparse(item.context_expr) for item in child.items
        )
        if isinstance(child, ast.Call) and isinstance(child.func, ast.Name):
            yield child.func.id, False
        if not isinstance(child, ast.FunctionDef):
            yield from ((name, safe or inside) for name, safe in calls(child))


@cache
def bare_calls(text: str) -> list[tuple[str, set[str]]]:
    """Each function of a module with what it calls outside a transaction."""
    return [
        (node.name, {name for name, safe in calls(node) if not safe})
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
        and not any("atomic" in ast.unparse(one) for one in node.decorator_list)
    ]


def test_every_form_keeps_a_scan_in_one_transaction_with_what_it_belongs_to() -> None:
    """Read off the code: what keeps a scan outside a transaction is called by no form's deed."""
    texts = {path: path.read_text() for path in PAGES.rglob("*.py")}
    keeps, found, bad = {"store_document"}, {"store_document"}, []
    while found:
        names, found = found, set()
        for path, text in texts.items():
            if any(name in text for name in names):
                for caller, called in bare_calls(text):
                    if called & names:
                        bad += [f"{path.stem}: {caller}"] if caller == "act" else []
                        found |= {caller} - keeps - {"act"}
        keeps |= found
    assert keeps > {"store_document", "kept_writing", "_paper"}, "the forms that bring a scan"
    assert bad == []
