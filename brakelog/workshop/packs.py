"""In the office: packs of local rules, shown, checked, turned on and off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from brakelog.errors import Conflict, NotFound, RulePackError, StoreError, clip
from brakelog.record.shop import Shop
from brakelog.rules.pack import Pack
from brakelog.rules.pack_reading import read_pack
from brakelog.store.names import not_found
from brakelog.store.store import Store

LONGEST_FILE = 200_000
"""Bytes of a pack; assumption: the longest that comes with the program has 4,000."""
LONGEST_LINE = 4_000
"""Characters of a line; assumption: a text of 1,000 with its key needs less."""
MOST_DOTS = 60
"""Points in a line. The cost of a key such as a.b.c grows with the square of its parts, in time and
in memory: one line of 200,000 bytes takes 40 GB. Assumption: no sentence has as many."""
_SUFFIX = ".toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPack:
    """A pack, and whether the shop judges by it."""

    pack: Pack
    is_on: bool
    is_own: bool
    """Whether the shop brought it itself."""


def built_in_ids() -> tuple[str, ...]:
    """Return the ids of the packs that come with the program."""
    from importlib.resources import files

    names = [each.name for each in (files("brakelog.rules") / "packs").iterdir()]
    return tuple(sorted(n.removesuffix(_SUFFIX) for n in names if n.endswith(_SUFFIX)))


def built_in_pack(pack_id: str) -> Pack:
    """Return a pack that comes with the program."""
    from importlib.resources import files

    name = f"{pack_id}{_SUFFIX}"
    text = (files("brakelog.rules") / "packs" / name).read_text(encoding="utf-8")
    return pack_of_text(text, name)


def pack_of_text(text: str, name: str) -> Pack:
    """Return the pack that a text holds.

    Raises
    ------
    RulePackError
        Where it is no TOML, or anything in it is wrong.
    """
    import tomllib

    _refuse_endless(text, name)
    try:
        mapping = tomllib.loads(text)
    except RecursionError:
        raise _no_toml(name, "tables within tables without end") from None
    except ValueError as error:
        # Not only its own error: a whole number of thousands of digits is none of them.
        raise _no_toml(name, clip(str(error), 60)) from error
    return read_pack(mapping, name)


def _refuse_endless(text: str, name: str) -> None:
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) > LONGEST_LINE:
            raise _no_toml(name, f"line {number} has more than {LONGEST_LINE} characters")
        if line.count(".") > MOST_DOTS:
            raise _no_toml(name, f"line {number} has more than {MOST_DOTS} points")


def _no_toml(name: str, reason: str) -> RulePackError:
    return RulePackError(
        f"{clip(name)} is no TOML that can be read: {reason}",
        hint='a line of it is such as: id = "my-rules"',
    )


def pack_of_bytes(content: bytes, name: str) -> Pack:
    """Return the pack that the content of a file holds.

    Raises
    ------
    RulePackError
        Where it is too long, no text, no TOML, or anything in it is wrong.
    """
    return pack_of_text(_as_text(content, name), name)


def _as_text(content: bytes, name: str) -> str:
    if len(content) > LONGEST_FILE:
        raise RulePackError(
            f"{clip(name)} is too long for a pack of local rules",
            hint=f"at most {LONGEST_FILE} bytes",
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RulePackError(f"{clip(name)} is not UTF-8", hint="save it as UTF-8") from error


def pack_file(path: Path) -> tuple[str, Pack]:
    """Return the text of a file and the pack that it holds.

    Raises
    ------
    NotFound
        Where there is no such file.
    StoreError
        Where it cannot be read.
    RulePackError
        Where it is no pack.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(LONGEST_FILE + 1)
    except FileNotFoundError as error:
        raise NotFound(f"there is no file {path}", hint="check the name") from error
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}") from error
    text = _as_text(content, path.name)
    return text, pack_of_text(text, path.name)


def packs_on(store: Store, shop: Shop) -> tuple[Pack, ...]:
    """Return the packs that are on; nothing is read where there is none.

    Raises
    ------
    RulePackError
        Where one of them cannot be used: a verdict never leaves it out silently.
    """
    if not shop.packs:
        return ()
    own = store.own_packs()
    return tuple(_known(pack_id, own) for pack_id in shop.packs)


def _known(pack_id: str, own: Mapping[str, str]) -> Pack:
    try:
        if pack_id in own:
            return pack_of_text(own[pack_id], f"{pack_id}{_SUFFIX}")
        if pack_id in built_in_ids():
            return built_in_pack(pack_id)
    except RulePackError as error:
        error.hint = f"brakelog rules off {pack_id}"
        raise
    raise RulePackError(
        f"the local rules {clip(pack_id)!r} are on, but this program has none of that name",
        hint=f"brakelog rules off {clip(pack_id)}",
    )


def all_packs(store: Store | None) -> list[ListedPack]:
    """Return every pack: those that come with the program, then those of the shop, if any."""
    own, shop = _kept(store)
    ids = [*built_in_ids(), *(each for each in sorted(own) if each not in built_in_ids())]
    return [
        ListedPack(pack=_known(each, own), is_on=each in shop.packs, is_own=each in own)
        for each in ids
    ]


def _kept(store: Store | None) -> tuple[Mapping[str, str], Shop]:
    return ({}, Shop()) if store is None else (store.own_packs(), store.shop())


def find_pack(store: Store | None, pack_id: str) -> ListedPack:
    """Return the pack of that id; without a store one that comes with the program.

    Raises
    ------
    NotFound
        Where neither the program nor the shop has one.
    """
    own, shop = _kept(store)
    ids = (*built_in_ids(), *own)
    if pack_id not in ids:
        raise not_found("pack of local rules", pack_id, ids, command="brakelog rules list")
    return ListedPack(pack=_known(pack_id, own), is_on=pack_id in shop.packs, is_own=pack_id in own)


def turn_on(store: Store, pack_id: str) -> Pack:
    """Judge by a pack from now on.

    Raises
    ------
    NotFound
        Where there is no such pack.
    """
    with store.writing():
        found = find_pack(store, pack_id)
        if not found.is_on:
            store.change_shop({"packs": " ".join((*store.shop().packs, pack_id))})
    return found.pack


def turn_on_file(store: Store, path: Path) -> Pack:
    """Keep the text of a file in the store and judge by it from now on.

    The text is kept, so that a verdict can be repeated whatever becomes of the file.

    Raises
    ------
    RulePackError
        Where it is no pack.
    Conflict
        Where a pack that comes with the program has its id.
    """
    text, pack = pack_file(path)
    if pack.id in built_in_ids():
        raise Conflict(
            f"a pack that comes with the program is called {pack.id}",
            hint="give yours another id",
        )
    with store.writing():
        if store.own_packs().get(pack.id) != text:
            store.keep_pack(pack.id, text)
        turn_on(store, pack.id)
    return pack


def turn_off(store: Store, pack_id: str) -> None:
    """Judge by a pack no longer; the text of one's own is kept.

    Raises
    ------
    NotFound
        Where it is not on.
    """
    with store.writing():
        on = store.shop().packs
        if pack_id not in on:
            raise not_found("pack that is on", pack_id, on, command="brakelog rules list")
        store.change_shop({"packs": " ".join(each for each in on if each != pack_id)})
