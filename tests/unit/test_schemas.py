"""Everything that ``--json`` prints is what its published schema says, and nothing else."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from typer.testing import CliRunner

from brakelog.cli.main import build
from tests.docs.generate_schemas import FOLDER, FORMS, as_text, schemas
from tests.docs.published_schemas import fault_of, validator
from tests.docs.schemas.kinds import Form
from tests.docs.schemas.meanings import sections
from tests.unit.test_docs import STORE, TUTORIAL, Example, settle

ROOT = Path(__file__).parents[2]
STUDY = """\
part,appraiser,trial,value,unit
1,AM,1,24.501,mm
1,AM,2,24.502,mm
1,JN,1,24.502,mm
1,JN,2,24.502,mm
2,AM,1,24.523,mm
2,AM,2,24.524,mm
2,JN,1,24.524,mm
2,JN,2,24.523,mm
"""
"""Two pieces of a rotor, two people, two trials: invented."""
FEW = 4
"""Vehicles that are asked about what differs little from one to the next."""


def named(form: Form) -> str:
    return form.format


# The files


def test_every_format_of_the_program_has_a_schema() -> None:
    sources = (ROOT / "brakelog").rglob("*.py")
    printed = {
        name
        for source in sources
        for name in re.findall(r'"(brakelog\.[a-z-]+/\d+)"', source.read_text(encoding="utf-8"))
    }

    assert printed == {form.format for form in FORMS}


def test_the_schemas_are_not_stale() -> None:
    wanted = {name: as_text(schema) for name, schema in schemas(sections()).items()}
    found = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.iterdir()}

    assert found == wanted, "run python tests/docs/generate_schemas.py"


@pytest.mark.parametrize("form", FORMS, ids=named)
def test_a_schema_names_every_key_of_every_object(form: Form) -> None:
    schema = validator(form.format).schema

    for each in objects(schema):
        if "properties" in each:
            assert each["additionalProperties"] is False
            assert set(each["required"]) <= set(each["properties"])
            assert all(key["description"] for key in each["properties"].values())
        else:
            assert "propertyNames" in each


def objects(schema: Any) -> Iterator[dict[str, Any]]:
    """Yield every schema of an object that stands in a schema."""
    if isinstance(schema, dict):
        if schema.get("type") == "object":
            yield schema
        for each in schema.values():
            yield from objects(each)
    elif isinstance(schema, list):
        for each in schema:
            yield from objects(each)


def test_the_page_explains_no_key_that_a_form_does_not_have() -> None:
    page = sections()
    schemas(page)

    assert [row for section in page.values() for row in section.unused] == []
    assert set(page) == {form.format for form in FORMS}


# What is really printed


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store of the sample workshop."""
    folder = tmp_path_factory.mktemp("demo") / "demo"
    result = CliRunner().invoke(build(), ["demo", "--folder", str(folder)])
    assert result.exit_code == 0, result.output
    return folder / "demo.sqlite"


@pytest.fixture(scope="module")
def tutorial(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store that the tutorial leaves."""
    folder = tmp_path_factory.mktemp("tutorial")
    with pytest.MonkeyPatch.context() as patch:
        settle(patch, folder)
        Example().run_page(TUTORIAL)
    return folder / STORE


@pytest.fixture(scope="module")
def documents(demo: Path, tutorial: Path) -> dict[str, list[Any]]:
    """Documents of every form, those of the sample workshop first."""
    found: dict[str, list[Any]] = defaultdict(list)
    for store, words in (*asked_of(demo), *asked_of(tutorial)):
        for document in printed(store, *words):
            found[document["format"]].append(document)
    for document in exported(tutorial):
        found[document["format"]].append(document)
    return found


def exported(store: Path) -> Iterator[Any]:
    """Yield what an export writes: the list of the sheets, and everything in one file."""
    for folder, more in (("sheets", ()), ("one-file", ("--json",))):
        out = store.with_name(folder)
        result = CliRunner().invoke(build(), ["--store", str(store), "export", str(out), *more])
        assert result.exit_code == 0, result.output
        (document,) = out.glob("*.json")
        yield json.loads(document.read_text(encoding="utf-8"))


def asked_of(store: Path) -> Iterator[tuple[Path, tuple[str, ...]]]:
    """Yield the commands that are asked of a store, with the store."""
    missing = store.with_name("missing.sqlite")
    sheet = store.with_name("study.csv")
    sheet.write_text(STUDY, encoding="utf-8")
    yield from ((store, ("verdict", "--all")), (missing, ("store", "where")))
    listed = (("vehicle", "list"), ("limits", "list"), ("gauge", "list"), ("people", "list"))
    (vehicles,), (limits,), (gauges,), (people,) = (printed(store, *words) for words in listed)
    yield from ((store, words) for words in listed)
    tags = [each["tag"] for each in vehicles["vehicles"]]
    for tag in tags:
        yield store, ("verdict", tag, "--preview", "--stage", "as-left")
        yield store, ("history", tag)
    for tag in tags[:FEW]:
        for words in (
            ("vehicle", "show", tag),
            ("limits", "show", tag, "--vehicle"),
            ("answer", tag),
            ("summary", tag),
            ("summary", tag, "--due-in", "24"),
            ("finish", tag, "--status"),
            ("amend", "list", tag),
            ("runout", tag, "LF", "--tyre", "205/55R16"),
        ):
            yield store, words
    for words in (
        *(("limits", "show", name) for name in limits["sheets"][:1]),
        *(("gauge", "show", each["tag"]) for each in gauges["gauges"][:1]),
        *(("people", "show", each["tag"]) for each in people["people"][:1]),
        *(("people", "show", each["tag"], "--customer") for each in people["customers"][:1]),
        *(("customer", "export", each["tag"]) for each in people["customers"]),
        ("gauge", "study", str(sheet)),
        *(("due", *more) for more in ((), ("--experience",), ("--back-test",))),
        *(
            ("store", "where"),
            ("store", "check"),
            ("store", "journal"),
            ("shop", "show"),
            ("rules", "list"),
        ),
        ("rules", "show", "us-cmv-393-47"),
    ):
        yield store, words


def printed(store: Path, *words: str) -> list[Any]:
    """Return what a command prints: one document, or one a line."""
    result = CliRunner().invoke(build(), ["--store", str(store), *words, "--json"])
    assert result.exit_code == 0, f"{words}: {result.output}"
    if "--all" in words:
        return [json.loads(line) for line in result.stdout.splitlines()]
    return [json.loads(result.stdout)]


@pytest.mark.parametrize("form", FORMS, ids=named)
def test_what_is_printed_is_what_the_schema_says(
    form: Form, documents: dict[str, list[Any]]
) -> None:
    assert documents[form.format]
    assert [fault for each in documents[form.format] if (fault := fault_of(each))] == []


# What is refused


@dataclass(frozen=True, kw_only=True)
class Place:
    """One value of a document, with the object or list that holds it."""

    holder: Any
    holder_schema: dict[str, Any]
    key: str | int
    schema: dict[str, Any]
    may_go: bool
    """Whether the key may be missing."""


def places(schema: dict[str, Any], value: Any, root: Draft202012Validator) -> Iterator[Place]:
    """Yield every place inside a value, however deep."""
    own = meant(schema, value, root)
    if isinstance(value, dict):
        known = own.get("properties", {})
        for key in value:
            below = known.get(key, own.get("additionalProperties"))
            is_needed = key in own.get("required", ()) or own.get("minProperties", 0) >= len(value)
            yield Place(
                holder=value, holder_schema=schema, key=key, schema=below, may_go=not is_needed
            )
            yield from places(below, value[key], root)
    elif isinstance(value, list):
        for n, each in enumerate(value):
            yield Place(holder=value, holder_schema=schema, key=n, schema=own["items"], may_go=True)
            yield from places(own["items"], each, root)


def meant(schema: dict[str, Any], value: Any, root: Draft202012Validator) -> dict[str, Any]:
    """Return the schema that is meant for a value, without references and alternatives."""
    while True:
        if "$ref" in schema:
            schema = root.schema["$defs"][schema["$ref"].rpartition("/")[2]]
        elif alternatives := schema.get("oneOf") or schema.get("anyOf"):
            schema = next(each for each in alternatives if root.evolve(schema=each).is_valid(value))
        else:
            return schema


def shortened(value: Any) -> Any:
    """Return a document in which a list of more than two entries has the first one only."""
    if isinstance(value, dict):
        return {key: shortened(each) for key, each in value.items()}
    if isinstance(value, list):
        return [shortened(each) for each in (value if len(value) <= 2 else value[:1])]
    return value


@pytest.mark.parametrize("form", FORMS, ids=named)
def test_a_document_that_is_changed_is_refused(form: Form, documents: dict[str, list[Any]]) -> None:
    root = validator(form.format)
    document = shortened(max(documents[form.format], key=lambda each: len(json.dumps(each))))
    assert root.is_valid(document)
    assert not root.is_valid({**document, "no such key": None})
    changed = 0
    for place in list(places(root.schema, document, root)):
        holds = root.evolve(schema=place.holder_schema)
        for why in faults(place, root):
            assert not holds.is_valid(place.holder), f"{place.key}: {why}"
            changed += 1

    assert changed > len(document)


def faults(place: Place, root: Draft202012Validator) -> Iterator[str]:
    """Put one fault after another into a place, say which, and take it out again."""
    holder, key = place.holder, place.key
    value = holder[key]
    for wrong in wrongs(value, meant(place.schema, value, root)):
        holder[key] = wrong
        yield f"{wrong!r} for {value!r}"
    holder[key] = value
    if isinstance(holder, dict) and not place.may_go:
        kept = dict(holder)
        del holder[key]
        yield "a key too few"
        holder.clear()
        holder.update(kept)


def wrongs(value: Any, schema: dict[str, Any]) -> Iterator[Any]:
    """Yield what cannot stand for a value: another type, and a word outside a closed set."""
    match value:
        case bool():
            yield "yes"
        case int() | float():
            yield str(value)
        case str():
            yield 1.5
        case None | list():
            yield {"no such key": None}
        case dict():
            yield []
            yield {**value, "no such key": None}
    if schema.keys() & {"enum", "pattern", "const"} and not isinstance(value, bool):
        yield "no such word"
