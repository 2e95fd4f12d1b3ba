"""The rules a Web Annotation must keep, as far as our documents use the model.

Source: W3C Recommendation 'Web Annotation Data Model', 23 February 2017
(https://www.w3.org/TR/annotation-model/), section numbers beside each rule; for fragments 'Media
Fragments URI 1.0 (basic)', W3C Recommendation, 25 September 2012, 4.2.2: an xywh value is four
whole numbers (that one without an area selects nothing is from memory). Written from the texts'
'must' sentences, not from our own writer.
"""

import re
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlsplit
from xml.etree import ElementTree

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
SVG = "{http://www.w3.org/2000/svg}"
#: 3.3.5: the motivations of the model itself.
MOTIVATIONS = {
    "assessing", "bookmarking", "classifying", "commenting", "describing", "editing",
    "highlighting", "identifying", "linking", "moderating", "questioning", "replying", "tagging",
}  # fmt: skip
SHAPES = {"rect", "circle", "ellipse", "line", "polyline", "polygon", "path", "g"}


def many(value: Any) -> list[Any]:
    """3: several values are a JSON array, one value stands alone."""
    return value if isinstance(value, list) else [value]


def is_iri(value: Any) -> bool:
    """2.1: resources are named by IRIs; ours are absolute."""
    return isinstance(value, str) and bool(urlsplit(value).scheme) and " " not in value


def broken_selector_rules(selector: Mapping[str, Any]) -> list[str]:
    return list(_selector(selector))


def _selector(selector: Mapping[str, Any]) -> Iterator[str]:
    kind, value = selector.get("type"), selector.get("value")
    if kind == "FragmentSelector":
        if not isinstance(value, str):
            yield "4.2.1: a Fragment Selector must have exactly 1 value"
            return
        if not is_iri(selector.get("conformsTo", "x:y")):
            yield "4.2.1: conformsTo names a specification"
        found = re.fullmatch(r"xywh=(?:(?:pixel|percent):)?(\d+),(\d+),(\d+),(\d+)", value)
        if found is None:
            yield "Media Fragments 4.2.2: four whole numbers after xywh"
        elif not (int(found[3]) and int(found[4])):
            yield "Media Fragments 4.2.2: a region without an area"
    elif kind == "SvgSelector":
        if not isinstance(value, str):
            yield "4.2.7: we embed the drawing, so there must be exactly 1 value"
            return
        yield from _svg(value)
    else:
        yield f"4.2: {kind} is no selector of the model that fits a picture"


def _svg(value: str) -> Iterator[str]:
    try:
        drawing = ElementTree.fromstring(value)  # noqa: S314 - our own document
    except ElementTree.ParseError:
        yield "4.2.7: the value must be well-formed SVG XML"
        return
    if drawing.tag != f"{SVG}svg":
        yield "4.2.7: the value must be SVG"
    if not re.fullmatch(r"0 0 [1-9]\d* [1-9]\d*", drawing.attrib.get("viewBox", "")):
        yield "4.2.7: the canvas must be relative to the dimensions of the source"
    for part in drawing.iter():
        if part is drawing:
            continue
        if part.tag.removeprefix(SVG) not in SHAPES:
            yield f"4.2.7, note: {part.tag} is no shape"
        if {"style", "class", "onclick", "transform"} & set(part.attrib):
            yield "4.2.7, note: no style, script or transformation"


def _annotation(one: Mapping[str, Any], embedded: bool) -> Iterator[str]:
    if not embedded and CONTEXT not in many(one.get("@context")):
        yield "3.1: must have the context as a value of @context"
    if embedded and "@context" in one:
        yield "5.3: annotations of a page take its context"
    if not is_iri(one.get("id")):
        yield "3.1: must have exactly 1 IRI that identifies it"
    if "Annotation" not in many(one.get("type")):
        yield "3.1: must have the type Annotation"
    if "body" in one and "bodyValue" in one:
        yield "3.2.5: must not have body and bodyValue together"
    if not one.get("target"):
        yield "3.1: must have 1 or more targets"
    for name in ("created", "modified", "generated"):
        if name in one:
            yield from _moment(name, one[name])
    for motivation in many(one.get("motivation", [])):
        if motivation not in MOTIVATIONS:
            yield f"3.3.5: {motivation} is no motivation of the model"
    for body in many(one.get("body", [])):
        yield from _body(body)
    for target in many(one.get("target", [])):
        yield from _target(target)
    for agent in [*many(one.get("creator", [])), *many(one.get("generator", []))]:
        yield from _agent(agent)


def _moment(name: str, value: Any) -> Iterator[str]:
    """3.3.1: an xsd:dateTime, in UTC as 'Z'; without a zone it would be nobody's time."""
    if not isinstance(value, str) or not value.endswith("Z"):
        yield f"3.3.1: {name} must be an xsd:dateTime with its zone as Z"
        return
    try:
        moment = datetime.fromisoformat(value)
    except ValueError:
        yield f"3.3.1: {name} is no dateTime"
        return
    if moment.utcoffset() != UTC.utcoffset(None):
        yield f"3.3.1: {name} is not in UTC"


def _body(body: Any) -> Iterator[str]:
    if not isinstance(body, Mapping):
        if not is_iri(body):
            yield "3.2: a body is an IRI or a described resource"
        return
    if body.get("type") == "TextualBody":
        if not isinstance(body.get("value"), str):
            yield "3.2.4: a Textual Body must have exactly 1 value"
        if isinstance(body.get("format"), list):
            yield "3.2.4: should have no more than 1 format"
        if not re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]+)*", str(body.get("language", "en"))):
            yield "3.2.1: a language is a BCP 47 tag"
    for purpose in many(body.get("purpose", [])):
        if purpose not in MOTIVATIONS:
            yield f"3.3.5: {purpose} is no purpose of the model"


def _target(target: Any) -> Iterator[str]:
    if isinstance(target, str):
        if not is_iri(target):
            yield "3.1: a target is an IRI"
        return
    if not {"source", "selector"} & set(target):
        if not is_iri(target.get("id")):
            yield "3.2: a described resource of the web has its IRI"
        return
    source = target.get("source")
    named = source.get("id") if isinstance(source, Mapping) else source
    if isinstance(source, list) or not is_iri(named):
        yield "4: a Specific Resource must have exactly 1 source"
    for selector in many(target.get("selector", [])):
        yield from _selector(selector)


def _agent(agent: Any) -> Iterator[str]:
    if isinstance(agent, str):
        if not is_iri(agent):
            yield "3.3.2: an agent is an IRI or described"
        return
    if not {"Person", "Organization", "Software"} & set(many(agent.get("type", []))):
        yield "3.3.2: an agent should be a Person, an Organization or Software"
    if isinstance(agent.get("name"), list):
        yield "3.3.2: we give an agent 1 name"


def broken_collection_rules(collection: Mapping[str, Any]) -> list[str]:
    """Every rule an annotation collection with its one page breaks, and its annotations'."""
    return list(_collection(collection))


def _collection(one: Mapping[str, Any]) -> Iterator[str]:
    if CONTEXT not in many(one.get("@context")):
        yield "5.1: must have the context"
    if not is_iri(one.get("id")):
        yield "5.1: must have exactly 1 IRI"
    if "AnnotationCollection" not in many(one.get("type")):
        yield "5.1: must have the type AnnotationCollection"
    page = one.get("first")
    if not isinstance(page, Mapping):
        yield "5.1: a collection with annotations must have its first page"
        return
    if not is_iri(page.get("id")) or "AnnotationPage" not in many(page.get("type")):
        yield "5.2: a page must have an IRI and the type AnnotationPage"
    items = page.get("items")
    if not isinstance(items, list):
        yield "5.2: a page must have its items as a list"
        return
    if one.get("total") not in (None, len(items)):
        yield "5.1: total is the number of annotations"
    if page.get("startIndex") not in (None, 0):
        yield "5.2: startIndex of the first page is 0"
    for item in items:
        yield from _annotation(item, embedded=True)
    names = [item.get("id") for item in items]
    if len(names) != len(set(names)):
        yield "3.1: two annotations with one IRI"
