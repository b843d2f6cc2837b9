"""The due lists of all sites of a chain, worked out side by side: a site to a process."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from multiprocessing import get_context

from brakelog.record.shop import Shop
from brakelog.rules.due import DueList, Wanted
from brakelog.store.address import ServerAddress
from brakelog.workshop.due import due_list
from brakelog.workshop.fleet import refresh


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDue:
    """The due list of one site."""

    site: str
    shop: Shop
    due: DueList


def due_of_sites(
    address: ServerAddress,
    sites: Sequence[str],
    wanted: Wanted,
    today: date,
    *,
    wait_s: float,
    processes: int,
    told: Callable[[str, int, int], None],
) -> Iterator[SiteDue]:
    """Yield the due list of every site, in the order of the sites.

    Parameters
    ----------
    address : ServerAddress
        Of any site of the database.
    sites : sequence of str
        The sites; each is brought up to date by one process with a connection of its own.
    wanted : Wanted
        What the lists are narrowed to.
    today : date
        The day that they are of.
    wait_s : float
        How long to wait for another program that writes to a site. [s]
    processes : int
        How many sites are worked on at a time; 1 for this process alone. [-]
    told : callable
        Is told how many sites are done, of how many.

    Raises
    ------
    StoreError, StoreOutdated, StoreTooNew
        Where one of the sites cannot be read: a list of a chain never leaves one out in silence.
    """
    work = [(address.at(site), wanted, today, wait_s) for site in sites]
    if processes == 1 or len(sites) < 2:
        for number, each in enumerate(work, start=1):
            yield _due_of(*each)
            told("sites", number, len(sites))
        return
    # Started afresh: a copy of this process would share its connection to the server.
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        waiting = [pool.submit(_due_of, *each) for each in work]
        try:
            for number, each_done in enumerate(waiting, start=1):
                yield each_done.result()
                told("sites", number, len(sites))
        finally:
            for left in waiting:
                left.cancel()


def _due_of(address: ServerAddress, wanted: Wanted, today: date, wait_s: float) -> SiteDue:
    from brakelog.store.opening import open_store

    with open_store(address, wait_s=wait_s, create=False) as store:
        refresh(store, lambda what, done, total: None, alone=True)
        return SiteDue(site=address.site, shop=store.shop(), due=due_list(store, wanted, today))
