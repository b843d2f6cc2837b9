"""Write docs/reference/commands.md from the help of every command.

Run it as ``python tests/docs/generate_commands.py`` after a command has changed; the program
need not be installed.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from brakelog.cli.main import build

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "commands.md"
HEAD = """\
# Commands

This page is generated from the help of the commands; `brakelog COMMAND --help` says the same.
An argument in square brackets may be left out, and `...` behind it stands for more of the same.
Behind an option, `...` stands for the value that it takes.
Options may stand before or behind the arguments.
Text with a blank in it goes into double quotes, in every shell.
Where a VEHICLE is asked for, its tag, plate or VIN will do.
Where an id is asked for, its first six characters will do, if no other id begins so.
[Exit codes](exit-codes.md) says how a command ends, and [JSON](json.md) what `--json` prints.
"""


def leaves(group: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield every visible command with the words that call it."""
    for name, command in group.commands.items():
        if command.hidden:
            continue
        if hasattr(command, "commands"):
            yield from leaves(command, (*path, name))
        else:
            yield (*path, name), command


def commands() -> list[tuple[str, Any]]:
    """Return every visible command: ``("limits add", command)``."""
    return [
        (" ".join(words), command) for words, command in leaves(typer.main.get_command(build()))
    ]


def page() -> str:
    """Return the whole page."""
    root = typer.main.get_command(build())
    parts = [HEAD, "## brakelog\n", f"{_sentence(root.help)}\n", _options(root.params)]
    for name, command in commands():
        parts += [
            f"## {name}\n",
            f"{_sentence(command.help)}\n",
            f"```text\nbrakelog {name}{_arguments(command.params)} [OPTIONS]\n```\n",
            _table(command.params),
            _options(command.params),
        ]
    return "\n".join(part for part in parts if part)


def _is_argument(param: Any) -> bool:
    return bool(param.param_type_name == "argument")


def _arguments(params: list[Any]) -> str:
    words = []
    for param in params:
        if _is_argument(param):
            name = _argument_name(param) + ("..." if param.nargs == -1 else "")
            words.append(name if param.required else f"[{name}]")
    return "".join(f" {word}" for word in words)


def _argument_name(param: Any) -> str:
    return str(param.metavar or param.name).upper()


def _table(params: list[Any]) -> str:
    rows = [
        f"| {_argument_name(param)} | {_words(param)} |" for param in params if _is_argument(param)
    ]
    return "\n".join(["| argument | meaning |", "|---|---|", *rows, ""]) if rows else ""


def _options(params: list[Any]) -> str:
    rows = [
        f"| `{_option(param)}` | {_words(param)} |"
        for param in params
        if not _is_argument(param) and param.name != "help"
    ]
    return "\n".join(["| option | meaning |", "|---|---|", *rows, ""]) if rows else ""


def _option(param: Any) -> str:
    return ", ".join((*param.opts, *param.secondary_opts)) + ("" if param.is_flag else " ...")


def _words(param: Any) -> str:
    words = [_sentence(param.help)] if param.help else []
    choices = getattr(param.type, "choices", None)
    if choices:
        names = [str(getattr(choice, "value", choice)) for choice in choices]
        words.append("One of " + ", ".join(f"`{name}`" for name in names) + ".")
    if not _is_argument(param):
        if param.required:
            words.append("Needed.")
        if getattr(param, "multiple", False) and "again" not in param.help:
            words.append("May be given again.")
    if param.envvar:
        words.append(f"Environment variable: `{param.envvar}`.")
    return " ".join(words).replace("|", "\\|")


def _sentence(text: str | None) -> str:
    words = " ".join((text or "").split())
    return words if not words or words[-1] in ".:" else f"{words}."


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
