"""A page as its words alone, with a space where a tag was: cells of a table stay apart."""

import html
import re


def words_of(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
