"""The documentation says what the program does: its examples are run, its tables are compared."""

from __future__ import annotations

import importlib.util
import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from types import ModuleType

import pytest
from typer.testing import CliRunner

from brakelog import errors
from brakelog.cli.finish import JOB_OPEN
from brakelog.cli.main import INTERRUPTED, build
from brakelog.cli.writer import NOT_JUDGED, REQUIRED_FOUND
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.trait import TRAITS, WHOLE_VEHICLE
from brakelog.rules.bound import BoundState
from brakelog.rules.judgement import Doubt, Outcome
from brakelog.rules.verdict import Because, Grounds, Word
from brakelog.store.tables import metadata
from brakelog.wear.projection import Note, Refusal

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted(DOCS.rglob("*.md"))
TUTORIAL = DOCS / "tutorial" / "first-verdict.md"
HOW_TO = sorted((DOCS / "how-to").glob("*.md"))
STORE = "practice.sqlite"
_BLOCK = re.compile(r"^```(?P<info>[^\n]*)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
_ID = re.compile(r"\b[0-9a-f]{12}\b|\b[0-9a-f]{32}\b|\b[0-9a-f]{64}\b|\b\d{8}T\d{6}Z\b")
_DATE = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")
_WRITTEN_DATE = re.compile(r"\b\d{1,2} [A-Z][a-z]{2,3} \d{4}\b|\b\d{2}\.\d{2}\.\d{4}\b")
"""As a customer reads it, in English and in German."""


def named(page: Path) -> str:
    return page.relative_to(DOCS).as_posix()


def read(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def generator() -> ModuleType:
    path = ROOT / "tests" / "docs" / "generate_commands.py"
    spec = importlib.util.spec_from_file_location("generate_commands", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


# The examples


@dataclass(frozen=True, kw_only=True)
class Step:
    """One command of a page, with the lines shown beneath it."""

    command: str
    shown: tuple[str, ...]
    exit_code: int


def blocks(page: Path) -> Iterator[tuple[str, str]]:
    for found in _BLOCK.finditer(page.read_text(encoding="utf-8")):
        yield found["info"].strip(), found["body"]


def steps_of(body: str, exit_code: int) -> list[Step]:
    """Split a console block; only its last command may end with another code than 0."""
    commands: list[tuple[str, list[str]]] = []
    for line in body.splitlines():
        if line.startswith("$ "):
            commands.append((line[2:], []))
        else:
            assert commands, f"output stands before any command: {line!r}"
            commands[-1][1].append(line)
    last = len(commands) - 1
    return [
        Step(command=command, shown=tuple(shown), exit_code=exit_code if n == last else 0)
        for n, (command, shown) in enumerate(commands)
    ]


@dataclass
class Example:
    """Runs the blocks of a page in order, in the folder that is current."""

    real: dict[str, str] = field(default_factory=dict)
    """Ids and dates as shown on the page, to those of this run."""

    def run_page(self, page: Path) -> None:
        for info, body in blocks(page):
            word, *rest = info.split()
            if word == "console":
                code = int(rest[0].removeprefix("exit=")) if rest else 0
                for step in steps_of(body, code):
                    self.run_step(step)
            elif word == "session":
                self.run_session(body)
            elif rest:
                Path(rest[0]).write_text(body, encoding="utf-8")

    def run_step(self, step: Step) -> None:
        command = step.command
        for shown, real in self.real.items():
            command = command.replace(shown, real)
        command, _, target = command.partition(" > ")
        command, _, source = command.partition(" < ")
        typed = Path(source).read_text(encoding="utf-8") if source else None
        program, *words = shlex.split(command)
        assert program == "brakelog"

        result = CliRunner().invoke(build(), words, input=typed, catch_exceptions=False)

        assert result.exit_code == step.exit_code, f"$ {command}\n{result.output}"
        if target:
            Path(target).write_text(result.stdout, encoding="utf-8")
        self.compare(step.shown, result.output.splitlines(), f"$ {command}\n{result.output}")

    def compare(self, shown: tuple[str, ...], real: list[str], message: str) -> None:
        """Find the shown lines in the output, in order; without ``...`` nothing is left out."""
        at, gap = 0, not shown
        for line in shown:
            if line.strip() == "...":
                gap = True
                continue
            wanted = variable(line)
            where = next((n for n in range(at, len(real)) if variable(real[n]) == wanted), None)
            assert where is not None, f"not said: {line!r}\n{message}"
            assert gap or where == at, f"left out before {line!r}: {real[at]!r}\n{message}"
            self.learn(line, real[where])
            at, gap = where + 1, False
        assert gap or at == len(real), f"left out at the end: {real[at:]}\n{message}"

    def learn(self, shown: str, real: str) -> None:
        today = datetime.now().astimezone().date().isoformat()
        for mine, its in zip(_ID.findall(shown), _ID.findall(real), strict=True):
            self.real[mine] = its
        for mine, its in zip(_DATE.findall(shown), _DATE.findall(real), strict=True):
            if its == today:
                self.real[mine] = its
            else:
                assert mine == its

    def run_session(self, body: str) -> None:
        """Answer at a terminal what the page answers; the page shows what the terminal shows."""
        first, *rest = body.splitlines()
        assert first.startswith("$ brakelog ")
        screen = Screen(script=list(rest))
        before = sys.stdin, sys.stdout
        sys.stdin, sys.stdout = Keys(screen), screen
        try:
            with pytest.raises(SystemExit) as ended:
                build()(shlex.split(first[2:])[1:])
        finally:
            sys.stdin, sys.stdout = before

        said = screen.getvalue()
        assert not ended.value.code, said
        self.compare(tuple(rest), said.splitlines(), said)


class Screen(io.StringIO):
    """A terminal that knows what the page types at which prompt."""

    def __init__(self, script: list[str]) -> None:
        super().__init__()
        self.script = script

    def answer(self) -> str:
        """Return what the page types at the prompt on the last line; Enter where it is left out."""
        prompt = variable(self.getvalue().rpartition("\n")[2])
        for n, line in enumerate(self.script):
            if variable(line).rstrip() == prompt.rstrip() or variable(line).startswith(prompt):
                del self.script[: n + 1]
                return line[len(prompt.rstrip()) :].strip()
            if line.strip() == "...":
                break
        assert "..." in self.script, f"the page has no {prompt!r}\n{self.getvalue()}"
        left_out = self.script.index("...")
        for n in range(left_out + 1, len(self.script)):
            if variable(self.script[n]).startswith(prompt):
                line = self.script[n]
                del self.script[: n + 1]
                return line[len(prompt.rstrip()) :].strip()
        return ""


class Keys(io.StringIO):
    """The keyboard; a terminal shows what is typed."""

    def __init__(self, screen: Screen) -> None:
        super().__init__()
        self.screen = screen

    def isatty(self) -> bool:
        return True

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]
        answer = self.screen.answer()
        self.screen.write(f"{answer}\n")
        return f"{answer}\n"


def variable(line: str) -> str:
    """Return the line without what differs from run to run."""
    text = _DATE.sub("<date>", _ID.sub("<id>", line.rstrip()))
    return _WRITTEN_DATE.sub("<date>", text)


@pytest.fixture(scope="module")
def after_tutorial(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Example]:
    """The folder that the tutorial leaves; the how-to pages go on from there."""
    folder = tmp_path_factory.mktemp("tutorial")
    with pytest.MonkeyPatch.context() as patch:
        settle(patch, folder)
        example = Example()
        example.run_page(TUTORIAL)
    return folder, example


@pytest.fixture
def worked_on(after_tutorial: tuple[Path, Example], tmp_path: Path) -> tuple[Path, Example]:
    """The same folder, after a part was fitted and its finding was put right."""
    folder, example = after_tutorial
    work = tmp_path / "work"
    shutil.copytree(folder, work)
    fixed = work / "fixed.txt"
    fixed.write_text("RF finding stuck-slide as-left fixed=yes pin cleaned\n", encoding="utf-8")
    for words in (
        ["fit", "TEAL-3", "RF", "pads", "new", "--size", "11.0 mm"],
        ["measure", "TEAL-3", "--as-left", "--lines", str(fixed)],
    ):
        result = CliRunner().invoke(build(), ["--store", str(work / STORE), *words])
        assert result.exit_code == 0, result.output
    return work, example


@pytest.fixture
def asked(after_tutorial: tuple[Path, Example], tmp_path: Path) -> tuple[Path, Example]:
    """The same folder, with a vehicle that wore out one pad early and has a point a turn off."""
    folder, example = after_tutorial
    work = tmp_path / "asked"
    shutil.copytree(folder, work)
    lines = work / "lines.txt"
    lines.write_text(
        "LF pad-in 2.5 2.4\nLF pad-out 5.0 4.9\nRF pad-in 4.8 4.7\nRF pad-out 5.0 4.9\n"
        "LF rotor 23.312 23.309 23.814 23.310 23.311 23.313 23.312 23.310\n",
        encoding="utf-8",
    )
    fitted = ["--date", "2024-03-04", "--odometer", "40800 km", "--size", "11.0 mm"]
    read = ["--date", "2025-03-04", "--odometer", "61200 km", "--lines", str(lines)]
    for words in (
        ["vehicle", "add", "RUST-5", "--brakes", "disc/disc", "--sheet", "Orrin Sallow 2.0"],
        ["fit", "RUST-5", "LF", "pads", "new", *fitted],
        ["measure", "RUST-5", *read],
    ):
        result = CliRunner().invoke(build(), ["--store", str(work / STORE), *words])
        assert result.exit_code == 0, result.output
    return work, example


def settle(patch: pytest.MonkeyPatch, folder: Path) -> None:
    for name in list(os.environ):
        if name.startswith("BRAKELOG_"):
            patch.delenv(name)
    patch.setenv("BRAKELOG_STORE", STORE)
    patch.setenv("NO_COLOR", "1")
    patch.chdir(folder)


def test_the_tutorial_works_and_ends_with_a_page(after_tutorial: tuple[Path, Example]) -> None:
    folder, _ = after_tutorial

    assert len(list(folder.glob("brakes-*.html"))) == 1


@pytest.mark.parametrize("page", HOW_TO, ids=named)
def test_every_how_to_works(
    page: Path,
    after_tutorial: tuple[Path, Example],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder, example = after_tutorial
    work = tmp_path / "work"
    shutil.copytree(folder, work)
    settle(monkeypatch, work)

    Example(real=dict(example.real)).run_page(page)


@pytest.mark.parametrize("page", [TUTORIAL, *HOW_TO], ids=named)
def test_every_tutorial_and_how_to_has_examples(page: Path) -> None:
    assert any(info.split()[:1] in (["console"], ["session"]) for info, _ in blocks(page))


@pytest.mark.parametrize("page", HOW_TO, ids=named)
def test_titles_of_how_tos_start_with_a_verb(page: Path) -> None:
    verbs = {
        *("Put", "Measure", "Type", "Import", "Correct"),
        *("Record", "Hand", "Split", "Study", "Turn", "Use", "Finish", "Answer"),
        *("Describe", "Give", "Judge", "Print", "Read", "See", "Set", "Work", "Write"),
        *("Back", "Export", "Forget", "Move"),
    }
    title = page.read_text(encoding="utf-8").splitlines()[0]

    assert title.removeprefix("# ").split()[0] in verbs


# The commands


def test_the_command_reference_is_not_stale() -> None:
    assert generator().page() == read("reference/commands.md"), (
        "run python tests/docs/generate_commands.py"
    )


def test_the_generator_finds_the_program_that_it_stands_beside() -> None:
    path = ROOT / "tests" / "docs" / "generate_commands.py"
    load = f"import runpy; print(runpy.run_path({str(path)!r})['build'].__module__)"
    said = subprocess.run(
        [sys.executable, "-I", "-c", load], capture_output=True, text=True, check=False
    )

    assert said.stdout.strip() == "brakelog.cli.main", said.stderr


def test_every_command_is_in_the_reference_and_has_help() -> None:
    text = read("reference/commands.md")
    for name, command in generator().commands():
        assert command.help, name
        assert f"\n## {name}\n" in text


def test_every_command_that_the_pages_name_exists() -> None:
    known = {name for name, _ in generator().commands()}
    groups = {name.split()[0] for name in known}
    for page in PAGES:
        for found in re.finditer(r"`brakelog ([a-z]+)(?: ([a-z]+))?", page.read_text("utf-8")):
            assert found[1] in groups, f"{named(page)}: {found[0]}"
            if found[1] not in known and found[2]:
                assert f"{found[1]} {found[2]}" in known, f"{named(page)}: {found[0]}"


# The tables


def first_cells(text: str) -> list[str]:
    return re.findall(r"^\| `?([^|`]+?)`? \|", text, re.MULTILINE)


def test_the_exit_codes_are_those_of_the_program() -> None:
    families = [
        each
        for each in vars(errors).values()
        if isinstance(each, type)
        and issubclass(each, errors.BrakelogError)
        and each is not errors.BrakelogError
    ]
    own = {REQUIRED_FOUND, NOT_JUDGED, JOB_OPEN, INTERRUPTED}
    wanted = {each.exit_code for each in families} | {0, 2} | own
    rows = re.findall(r"^\| (\d+) \|", read("reference/exit-codes.md"), re.MULTILINE)

    assert sorted(wanted) == [int(row) for row in rows]


def test_wrong_usage_ends_with_2() -> None:
    assert CliRunner().invoke(build(), ["verdict", "--no-such-option"]).exit_code == 2


def test_every_verdict_code_is_listed_in_order() -> None:
    rows = re.findall(r"^\| (V\d{3}) \|", read("reference/verdict.md"), re.MULTILINE)

    assert [each.value for each in Because] == rows


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("reference/verdict.md", [each.value for each in (*Word, *Grounds, *Outcome, *Doubt)]),
        ("reference/verdict.md", [each.value for each in Refusal if each is not Refusal.NO_LIMIT]),
        ("reference/limits.md", [each.value for each in (*LimitKind, *OutWhen)]),
        ("reference/json.md", [each.value for each in (*BoundState, *Note, *Refusal)]),
        ("reference/store.md", sorted(metadata.tables)),
    ],
)
def test_every_word_of_the_program_is_explained(name: str, words: list[str]) -> None:
    cells = first_cells(read(name))

    assert [word for word in words if word not in cells] == []


def test_every_trait_is_listed_with_its_words() -> None:
    section = read("reference/limits.md").split("\n## Traits\n")[1].split("\n## ")[0]
    rows = [
        [cell.strip() for cell in line.split("|")[1:4]]
        for line in section.splitlines()
        if line.startswith("| `")
    ]
    listed = {name.strip("`"): (re.findall("`([^`]+)`", words), of) for name, words, of in rows}

    assert list(listed) == list(TRAITS)
    for name, (words, of) in listed.items():
        assert not TRAITS[name] or tuple(words) == TRAITS[name]
        assert of == ("the vehicle" if name in WHOLE_VEHICLE else "an axle")


def test_every_key_of_a_verdict_is_described(after_tutorial: tuple[Path, Example]) -> None:
    document = printed(after_tutorial, ["verdict", "TEAL-3", "--preview", "--json"])
    section = section_of("brakelog.verdict/1")
    described = set(first_cells(section))

    assert keys_of(document) - described == set()


@pytest.mark.parametrize(
    "name",
    [
        *("reasons", "measures", "reading_sets", "life", "flags", "hints"),
        *("worlds", "if_left", "questions"),
    ],
)
def test_every_kind_of_entry_of_a_verdict_has_a_table_of_its_own(
    name: str, asked: tuple[Path, Example]
) -> None:
    document = printed(asked, ["verdict", "RUST-5", "--preview", "--json"])
    section = section_of("brakelog.verdict/1")
    table = re.split(rf"^In an entry of .*`{name}`:$", section, flags=re.MULTILINE)[1]
    described = set(first_cells(re.split(r"^In ", table, flags=re.MULTILINE)[0]))
    keys = entry_keys(document, name)

    assert keys
    assert keys - described == set()


def test_every_key_of_the_list_of_questions_is_described(asked: tuple[Path, Example]) -> None:
    document = printed(asked, ["answer", "RUST-5", "--json"])
    described = set(first_cells(section_of(str(document["format"]))))

    assert document["questions"]
    assert keys_of(document, beneath=("if_real_mm",)) - described == set()


def entry_keys(document: object, name: str) -> set[str]:
    """Return the keys of the entries of every list of that name."""
    if isinstance(document, list):
        return set().union(*(entry_keys(each, name) for each in document))
    if not isinstance(document, dict):
        return set()
    found = document.get(name)
    here = [set(each) for each in found if isinstance(each, dict)] if found else []
    return set().union(*here, *(entry_keys(each, name) for each in document.values()))


@pytest.mark.parametrize(
    "words",
    [
        ["summary", "TEAL-3", "--json"],
        ["vehicle", "list", "--json"],
        ["vehicle", "show", "TEAL-3", "--json"],
        ["limits", "list", "--json"],
        ["limits", "show", "TEAL-3", "--json"],
        ["gauge", "list", "--json"],
        ["gauge", "show", "M1", "--json"],
        ["people", "list", "--json"],
        ["people", "show", "JN", "--json"],
        ["shop", "show", "--json"],
        ["rules", "list", "--json"],
        ["rules", "show", "us-cmv-393-47", "--json"],
        ["store", "where", "--json"],
        ["store", "check", "--json"],
        ["limits", "show", "TEAL-3", "--vehicle", "--json"],
        ["amend", "list", "TEAL-3", "--json"],
        ["runout", "TEAL-3", "LF", "--json"],
        ["finish", "TEAL-3", "--json"],
        ["history", "TEAL-3", "--json"],
        ["due", "--json"],
        ["due", "--experience", "--json"],
        ["due", "--back-test", "--json"],
    ],
    ids=lambda words: " ".join(words[:-1]),
)
def test_every_format_is_described_with_its_keys(
    words: list[str], worked_on: tuple[Path, Example]
) -> None:
    document = printed(worked_on, words)
    described = set(first_cells(section_of(str(document["format"]))))
    keys = keys_of(document, beneath=("rows", "settings", "not_projected"))

    assert keys - described == set()


def printed(after_tutorial: tuple[Path, Example], words: list[str]) -> dict[str, object]:
    folder, _ = after_tutorial
    result = CliRunner().invoke(build(), ["--store", str(folder / STORE), *words])
    assert result.exit_code == 0, result.output
    document: dict[str, object] = json.loads(result.stdout)
    return document


def section_of(form: str) -> str:
    """Return what the page says of a format, up to the next one."""
    parts = re.split(r"^## ", read("reference/json.md"), flags=re.MULTILINE)
    return next(part for part in parts if f"`{form}`" in part.splitlines()[0])


def keys_of(value: object, *, beneath: tuple[str, ...] = ()) -> set[str]:
    """Return every key of a document, however deep; not those beneath the keys named."""
    if isinstance(value, dict):
        inner = [keys_of(each, beneath=beneath) for k, each in value.items() if k not in beneath]
        return set(value).union(*inner)
    if isinstance(value, list):
        return set().union(*(keys_of(each, beneath=beneath) for each in value))
    return set()


# The pages


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_links_lead_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if "://" in target:
            continue
        path, _, anchor = target.partition("#")
        other = (page.parent / path).resolve() if path else page
        assert other.exists(), f"{named(page)}: {target}"
        if anchor:
            titles = re.findall(r"^#+ (.+)$", other.read_text(encoding="utf-8"), re.MULTILINE)
            assert anchor in {slug(title) for title in titles}, f"{named(page)}: {target}"


def slug(title: str) -> str:
    return re.sub(r"[^a-z0-9 _-]", "", title.lower()).replace(" ", "-")


def test_every_page_is_in_the_index() -> None:
    index = DOCS / "README.md"
    linked = {
        (DOCS / target.partition("#")[0]).resolve()
        for target in re.findall(r"\]\(([^)\s]+)\)", index.read_text(encoding="utf-8"))
    }

    assert [named(page) for page in PAGES if page != index and page.resolve() not in linked] == []


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_no_page_names_a_path_of_a_machine(page: Path) -> None:
    text = page.read_text(encoding="utf-8")

    assert re.search(r"(?<![\w.])/(?:home|Users|tmp|work|root|var|opt)/\w", text) is None
    assert re.search(r"\b[A-Z]:\\\w", text) is None


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_a_sentence_stands_on_a_line_of_its_own(page: Path) -> None:
    """No line holds the end of one sentence and the beginning of the next."""
    text = _BLOCK.sub("", page.read_text(encoding="utf-8"))
    for line in text.splitlines():
        if not line.startswith("|"):
            said = re.sub(r"^(?:\d+\.|-) ", "", line)
            assert re.search(r"[a-z0-9)`][.?!] [A-Z][a-z]", said) is None, f"{named(page)}: {line}"


def test_dates_in_the_examples_are_past() -> None:
    today = datetime.now().astimezone().date()
    for page in (TUTORIAL, *HOW_TO):
        for text in _DATE.findall(page.read_text(encoding="utf-8")):
            assert date.fromisoformat(text) <= today, f"{named(page)}: {text}"
