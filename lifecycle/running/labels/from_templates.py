"""Labels that stand in templates: titles, headings, buttons, links, columns, fields, options."""

import re
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final

from django.conf import settings

from lifecycle.running.labels.label import GAP, Kind, Label, says_something, tidy

#: Which element carries which kind of label.
ELEMENTS: Final = {
    "h1": Kind.HEADING,
    "h2": Kind.HEADING,
    "h3": Kind.HEADING,
    "h4": Kind.HEADING,
    "button": Kind.BUTTON,
    "summary": Kind.BUTTON,
    "a": Kind.LINK,
    "th": Kind.COLUMN,
    "dt": Kind.COLUMN,
    "label": Kind.FIELD,
    "legend": Kind.FIELD,
    "caption": Kind.CAPTION,
    "option": Kind.OPTION,
}
ATTRIBUTES: Final = {"placeholder": Kind.FIELD, "aria-label": Kind.CAPTION, "title": Kind.CAPTION}
#: Parts that take their words as arguments, and which kind each argument is.
ARGUMENTS: Final = {"label": Kind.BUTTON, "text": Kind.EMPTY, "submit": Kind.BUTTON}
OTHERWISE: Final = "\x1f"

_BLOCK = re.compile(r"{%\s*block (title|heading)\s*%}(.*?){%\s*endblock[^%]*%}", re.S)
_INCLUDE = re.compile(r"{%\s*include [^%]*?%}", re.S)
_ARGUMENT = re.compile(r"\b(\w+)=\"([^\"]*)\"")
_MARK = re.compile(r"{%\s*mark\s+(?:\"[^\"]*\"|'[^']*'|[\w.]+)\s+(?:\"([^\"]*)\"|'([^']*)')")
_WORDS = re.compile(r"{%\s*(?:translate|trans)\s+(?:\"([^\"]*)\"|'([^']*)')\s*%}")


def plain(text: str) -> str:
    """Take the template's own language out: values become gaps, branches are parted."""
    text = re.sub(r"{#.*?#}", "", text, flags=re.S)
    text = re.sub(r"{%\s*comment\s*%}.*?{%\s*endcomment\s*%}", "", text, flags=re.S)
    text = _WORDS.sub(lambda found: found[1] or found[2], text)
    text = _MARK.sub(lambda found: f"{found[1] or found[2]}{{%", text)
    text = re.sub(r"{%\s*(?:else|elif [^%]*)\s*%}", OTHERWISE, text)
    text = re.sub(r"{{.*?}}", GAP, text, flags=re.S)
    text = re.sub(r"{%\s*(?:when|number|instant)\b.*?%}", GAP, text, flags=re.S)
    return re.sub(r"{%.*?%}", "", text, flags=re.S)


def branches(text: str) -> Iterator[str]:
    """Yield the readings of a text that its conditions part."""
    for branch in text.split(OTHERWISE):
        line = tidy(unescape(branch))
        if says_something(line):
            yield line


class _Reader(HTMLParser):
    """Gathers the text of each element that carries a label, nested ones included."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, Kind, list[str]]] = []
        self.found: list[tuple[Kind, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        for name, kind in ATTRIBUTES.items():
            if given.get(name):
                self.found.append((kind, given[name] or ""))
        kind_of = ELEMENTS.get(tag)
        if tag == "a" and "button" in (given.get("class") or ""):
            kind_of = Kind.BUTTON
        if kind_of is not None:
            self.open.append((tag, kind_of, []))

    def handle_endtag(self, tag: str) -> None:
        for number in range(len(self.open) - 1, -1, -1):
            if self.open[number][0] == tag:
                _, kind, texts = self.open.pop(number)
                self.found.append((kind, "".join(texts)))
                return

    def handle_data(self, data: str) -> None:
        for _, _, texts in self.open:
            texts.append(data)


def labels_of_template(text: str, where: str) -> Iterator[Label]:
    """Yield the labels of one template's source."""
    for name, body in _BLOCK.findall(text):
        kind = Kind.TITLE if name == "title" else Kind.HEADING
        yield from (Label(kind, line, where) for line in branches(_no_tags(plain(body))))
    for include in _INCLUDE.findall(text):
        for name, value in _ARGUMENT.findall(include):
            if name in ARGUMENTS and says_something(value):
                yield Label(ARGUMENTS[name], tidy(unescape(value)), where)
    for found in _MARK.findall(text):
        word = found[0] or found[1]
        if says_something(word):
            yield Label(Kind.MARK, tidy(unescape(word)), where)
    reader = _Reader()
    reader.feed(plain(text))
    reader.close()
    for kind, words in reader.found:
        yield from (Label(kind, line, where) for line in branches(words))


def _no_tags(text: str) -> str:
    return re.sub(r"<[^>]+>", "", text)


def template_files() -> Iterator[Path]:
    """Yield our own templates in the order of their paths."""
    for folder in _folders():
        yield from sorted(folder.rglob("*.html"))
        yield from sorted(folder.rglob("*.txt"))


def labels_of_templates() -> Iterator[Label]:
    """Yield the labels of every template."""
    for path in template_files():
        yield from labels_of_template(path.read_text(), f"templates/{_below(path)}")


def _folders() -> list[Path]:
    """The folders our own templates stand in."""
    dirs: Any = settings.TEMPLATES[0]["DIRS"]
    return [Path(folder) for folder in dirs]


def _below(path: Path) -> str:
    return next(path.relative_to(one).as_posix() for one in _folders() if path.is_relative_to(one))
