"""The facts of the customer's summary, in the order of the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.record.people import Customer
from brakelog.record.reading import Stage
from brakelog.reports.customer_meaning import AxleMeaning, Meaning, axle_meanings
from brakelog.reports.customer_measured import Measured, measured_rows
from brakelog.reports.customer_work import (
    come_back,
    declined_stop,
    done_today,
    unfinished_stop,
    watch_for,
)
from brakelog.reports.language.language import Language, language_named
from brakelog.reports.plain import shown
from brakelog.reports.plain_closing import plain_declined, plain_open
from brakelog.reports.plain_know import warning_of, what_to_know
from brakelog.reports.plain_page import when_words
from brakelog.reports.plain_waiting import Waiting, waiting_of
from brakelog.rules.closing import Closing, Status
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import is_work


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """Everything on the customer's page, in its order."""

    lang: Language
    """What its sentences are written in; what stands round them is said in the same."""
    title: str
    vehicle: str
    when: str
    """Day and odometer of the visit, and whether it is the state after the work."""
    customer: str
    shop: str
    length_unit: str
    """``mm`` or ``in``: what the shop reads first."""
    distance_unit: str
    warning: str
    open: tuple[str, ...]
    """What keeps the job open; while there is anything, the page is preliminary."""
    know: tuple[str, ...]
    measured: tuple[Measured, ...]
    axles: tuple[AxleMeaning, ...]
    waiting: Waiting
    done: tuple[str, ...]
    declined: tuple[str, ...]
    """Needed work that was declined; to be signed for."""
    watch: tuple[str, ...]
    back: str
    footer: str

    @property
    def subtitle(self) -> str:
        """Vehicle, day and odometer."""
        return f"{self.vehicle}, {self.when}"

    @property
    def is_preliminary(self) -> bool:
        """Whether the page must not be taken for the final one."""
        return bool(self.open)

    @property
    def meanings(self) -> tuple[Meaning, ...]:
        """What it means for each kind of part of each axle."""
        return tuple(each for axle in self.axles for each in axle.meanings)


def customer_summary(
    verdict: VehicleVerdict,
    customer: Customer | None,
    *,
    today: date | None = None,
    closing: Closing | None = None,
    lang: Language | None = None,
) -> Summary:
    """Return the customer's summary of a verdict; says where its readings are too old.

    Without ``lang`` it is written in the language of the shop. While the job that ``closing`` is
    about is not finished, the page is headed preliminary and says what is open.
    """
    file = verdict.file
    visit, shop = file.visit, file.shop
    lang = lang or language_named(shop.language)
    seen = lang.distance(visit.odometer_mm, visit.odometer_unit)
    closing = closing or Closing(status=Status.NO_WORK)
    open_ones = plain_open(lang, closing)
    waiting = waiting_of(lang, verdict, today)
    warnings = (
        warning_of(lang, verdict),
        unfinished_stop(lang, closing),
        declined_stop(lang, closing),
    )
    is_left = file.stage is Stage.AS_LEFT and is_work(file)
    return Summary(
        lang=lang,
        title=lang.say("title.preliminary" if open_ones else "title.final"),
        vehicle=shown(file.vehicle.description or file.vehicle.tag),
        when=when_words(lang, visit.day, seen, is_left=is_left),
        customer=shown(customer.name) if customer else "",
        shop=shown(", ".join(text for text in (shop.name, shop.phone) if text)),
        length_unit="in" if shop.unit.is_inch else "mm",
        distance_unit=shop.distance_unit.value,
        warning=" ".join(text for text in warnings if text),
        open=tuple(shown(each) for each in open_ones),
        know=tuple(
            shown(each)
            for each in (
                *_earlier(lang, closing),
                *_stale(lang, verdict, today),
                *what_to_know(lang, verdict),
            )
        ),
        measured=measured_rows(lang, verdict),
        axles=axle_meanings(lang, verdict, closing),
        waiting=waiting,
        done=done_today(lang, verdict),
        declined=tuple(shown(plain_declined(lang, each)) for each in closing.declined),
        watch=watch_for(lang, verdict, closing, has_distances=bool(waiting.ahead)),
        back=come_back(lang, verdict, closing, today),
        footer=lang.say("page.footer"),
    )


def _earlier(lang: Language, closing: Closing) -> tuple[str, ...]:
    """Say that the work of an earlier visit was not finished."""
    if closing.earlier is None:
        return ()
    return (lang.say("know.earlier_job", day=lang.day(closing.earlier)),)


def _stale(lang: Language, verdict: VehicleVerdict, today: date | None) -> tuple[str, ...]:
    """Say that the readings are too old."""
    if today is None or not verdict.is_stale(today):
        return ()
    return (lang.count("know.old", verdict.months_old(today)),)
