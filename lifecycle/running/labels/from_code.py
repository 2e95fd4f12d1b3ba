"""Labels that stand in code: words of form pages, fields, navigation, paper blocks, commands.

The source is read, not imported: pages are no business of this floor.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from django.forms.utils import pretty_name

from lifecycle.running.labels.label import GAP, Kind, Label, says_something, tidy

HOUSE: Final = Path(__file__).resolve().parents[2]
#: Keyword arguments that are read by people, wherever they are given.
KEYWORDS: Final = {
    "title": Kind.TITLE,
    "submit": Kind.BUTTON,
    "again": Kind.BUTTON,
    "label": Kind.FIELD,
    "empty_label": Kind.OPTION,
    "link_word": Kind.BUTTON,
    "word": Kind.BUTTON,
    "head": Kind.PAPER,
    "site_header": Kind.TITLE,
}
#: Calls whose texts by position are read by people: name → kind of each position.
POSITIONS: Final = {
    "MainPage": (Kind.NAVIGATION,),
    "_page": (None, Kind.TITLE, Kind.BUTTON),
    "day_field": (Kind.FIELD,),
    "reason_field": (Kind.FIELD,),
    "Errand": (None, Kind.BUTTON),
}
#: Blocks of papers: every text inside is printed, but for the name of the kind.
BLOCKS: Final = frozenset({"Heading", "Facts", "Ticks", "Blanks", "Lines", "Column", "Table"})
#: Tables in code whose pairs or tuples are shown: name → kind of their texts.
NAMED: Final = {
    "OTHER_KEYS": Kind.SHORTCUT,
    "SHEET_HEADS": Kind.COLUMN,
    "OWN_WORDS": Kind.CAPTION,
    "ALWAYS": Kind.CAPTION,
    "WEEKDAYS": Kind.OPTION,
    "WHAT_THEY_DO": Kind.CAPTION,
    "MARKS": Kind.MARK,
}

#: Statements of a script that put words onto a page.
_WRITTEN: Final = re.compile(r"(?:textContent\s*=|\.append\(|aria-label\",)([^;]*);")


def words_of(node: ast.expr) -> str | None:
    """Return the text of a literal, with a gap for each value put into it."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return tidy(node.value)
    if isinstance(node, ast.JoinedStr):
        parts = [str(one.value) if isinstance(one, ast.Constant) else GAP for one in node.values]
        return tidy("".join(parts))
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        left, right = words_of(node.left), words_of(node.right)
        return tidy(f"{left or GAP}{right or GAP}") if left or right else None
    return None


def texts_in(node: ast.AST) -> Iterator[str]:
    """Yield every text inside an expression, outermost first."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.expr) and (text := words_of(inner)):
            yield text


def _called(node: ast.Call) -> str:
    if isinstance(node.func, ast.Name):
        return node.func.id
    return node.func.attr if isinstance(node.func, ast.Attribute) else ""


class _Reader(ast.NodeVisitor):
    """Walks one module and gathers what people read."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.found: list[Label] = []

    def add(self, kind: Kind | None, text: str | None) -> None:
        if kind is not None and text and says_something(text):
            self.found.append(Label(kind, text, self.where))

    def visit_Call(self, node: ast.Call) -> None:
        name = _called(node)
        for kind, argument in zip(POSITIONS.get(name, ()), node.args, strict=False):
            self.add(kind, words_of(argument))
        for keyword in node.keywords:
            if keyword.arg in KEYWORDS:
                for text in (
                    [words_of(keyword.value)]
                    if words_of(keyword.value)
                    else (_branches(keyword.value))
                ):
                    self.add(KEYWORDS[keyword.arg], text)
            if keyword.arg == "choices":
                for text in _second_of_pairs(keyword.value):
                    self.add(Kind.OPTION, text)
        if name in BLOCKS:
            for argument in [*node.args, *(one.value for one in node.keywords)]:
                for text in texts_in(argument):
                    self.add(Kind.PAPER, text)
        self.generic_visit(node)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for line in node.body:
            if isinstance(line, ast.Assign) and isinstance(line.value, ast.Call):
                self._field(line.targets[0], line.value)
            if (
                isinstance(line, ast.Assign)
                and isinstance(line.targets[0], ast.Name)
                and line.targets[0].id in KEYWORDS
            ):
                self.add(KEYWORDS[line.targets[0].id], words_of(line.value))
        self.generic_visit(node)

    def _field(self, target: ast.expr, call: ast.Call) -> None:
        """A form's field without a label is named by its own name."""
        is_field = _called(call).endswith("Field")
        named = any(keyword.arg == "label" for keyword in call.keywords)
        if is_field and not named and isinstance(target, ast.Name) and "pages" in self.where:
            self.add(Kind.FIELD, pretty_name(target.id))

    def visit_Assign(self, node: ast.Assign) -> None:
        for target in node.targets:
            self._named(target, node.value)
        self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self._named(node.target, node.value)
        self.generic_visit(node)

    def _named(self, target: ast.expr, value: ast.expr) -> None:
        if isinstance(target, ast.Name) and target.id in NAMED:
            for text in texts_in(value):
                self.add(NAMED[target.id], text)


def _branches(node: ast.expr) -> Iterator[str]:
    """Yield the text, or both texts of 'this if so else that'."""
    for part in (node.body, node.orelse) if isinstance(node, ast.IfExp) else (node,):
        if text := words_of(part):
            yield text


def _second_of_pairs(node: ast.expr) -> Iterator[str]:
    """Yield the shown word of each literal pair of a list of choices."""
    for inner in ast.walk(node):
        pair = isinstance(inner, ast.Tuple) and len(inner.elts) == 2
        if pair and (text := words_of(inner.elts[1])):  # type: ignore[attr-defined]
            yield text


def labels_of_source(source: str, where: str) -> list[Label]:
    """Return the labels of one module's source."""
    reader = _Reader(where)
    reader.visit(ast.parse(source))
    return reader.found


def commands() -> Iterator[Label]:
    """Yield our own commands with what each says it does."""
    folder = HOUSE / "running" / "management" / "commands"
    for path in sorted(folder.glob("*.py")):
        if path.stem != "__init__":
            yield Label(Kind.COMMAND, f"manage.py {path.stem}", _where(path))


def scripts() -> Iterator[Label]:
    """Yield what our scripts write onto a page: the texts they set or append."""
    for path in sorted((HOUSE / "pages" / "static").rglob("*.js")):
        source = path.read_text()
        for line in _WRITTEN.findall(source):
            for text in re.findall(r'"([^"]*)"', line):
                if says_something(text) and text[0].isupper():
                    yield Label(Kind.BUTTON, tidy(text), _where(path))


def _where(path: Path) -> str:
    return path.relative_to(HOUSE.parent).as_posix()


def labels_of_code() -> Iterator[Label]:
    """Yield the labels of pages, papers, letters and process, and the commands."""
    for floor in ("pages", "papers", "letters", "queries", "process"):
        for path in sorted((HOUSE / floor).rglob("*.py")):
            yield from labels_of_source(path.read_text(), _where(path))
    yield from commands()
    yield from scripts()
