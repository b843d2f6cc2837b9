"""What a customer reads in German, and that no sentence stands outside of the catalogues."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import html5lib
import pytest

from brakelog.intake.span import Span
from brakelog.record.reading import Stage
from brakelog.reports.customer import customer_summary
from brakelog.reports.customer_page import summary_page, summary_text
from brakelog.reports.customer_pictures import drawn
from brakelog.reports.customer_reminder import reminder_note, reminder_text
from brakelog.reports.language.catalogue import read_catalogue
from brakelog.reports.language.language import Language
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.workshop.customer import CustomerCase, customer_case, every_customer_case
from brakelog.workshop.demo import run_demo
from brakelog.workshop.fleet import refresh
from brakelog.workshop.reminding import every_reminder
from tests.acceptance import test_case_as_left_gate as gate_case
from tests.acceptance import test_finish as finish_case
from tests.acceptance.customer_cars import (
    everyday_car,
    gated_car,
    healthy_and_dangerous,
    pointless_car,
    repaired_car,
    stuck_car,
)
from tests.acceptance.workshop import DAY, Workshop

pytestmark = pytest.mark.usefixtures("in_the_week_of_the_visit")
GERMAN = ("--language", "de")
ALARM = re.compile(r"nötig|notwendig|nicht fahren|fahren sie|gefahr|unsicher|sofort", re.IGNORECASE)


@pytest.fixture(scope="module")
def sallow(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return everyday_car(equipped_shop())


@pytest.fixture(scope="module")
def brisk(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return pointless_car(equipped_shop())


@pytest.fixture(scope="module")
def stuck(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return stuck_car(equipped_shop())


@pytest.fixture(scope="module")
def gate(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return gated_car(equipped_shop())


@pytest.fixture(scope="module")
def two_cars(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return healthy_and_dangerous(equipped_shop())


@pytest.fixture(scope="module")
def repaired(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return repaired_car(equipped_shop())


def letter(shop: Workshop, tag: str = "SALLOW") -> str:
    return shop.customer_text(tag, *GERMAN)


# The worked cases, in German


def test_case_1_empfiehlt_und_sagt_dass_heute_nichts_gemacht_werden_muss(sallow: Workshop) -> None:
    said = letter(sallow)

    assert (
        "Heute zulässig, wir empfehlen: Bremsbeläge vorne erneuern. Heute muss nichts gemacht "
        "werden."
    ) in said
    assert "Bremsbeläge vorne: empfohlen." in said
    assert "Bremsscheiben vorne: im zulässigen Bereich." in said
    assert not re.search("nötig|notwendig|nicht fahren|fahren Sie dieses", said)
    least = re.search(
        r"Belag innen vorne links: 9 von 10 solchen Fahrzeugen schaffen ab diesem Termin noch "
        r"mindestens ([\d.]+) km, wenige mehr als [\d.]+ km\. "
        r"(Das ist nicht vor dem \d\d\.\d\d\.\d{4} und selten nach |Dieser Tag kann schon da sein)",
        said,
    )
    assert least is not None, said
    assert int(least[1].replace(".", "")) < 7_800


def test_case_2_empfiehlt_beides_verlangt_keines_und_sagt_warum(brisk: Workshop) -> None:
    said = letter(brisk, "BRISK")

    assert "Heute zulässig, wir empfehlen: Bremsbeläge vorne erneuern" in said
    assert "Bremsscheiben vorne erneuern" in said
    assert "Jetzt nötig" not in said
    assert "notwendig" not in said
    assert "würde aber die Grenze erreichen, bevor die neuen Bremsbeläge verschlissen sind" in said
    assert "Mit neuen Bremsbelägen vorne wären die bleibenden Scheiben zuerst am Ende" in said
    assert "Wo das Neumaß nicht gemessen wurde, stammt es aus Unterlagen." in said


def test_case_6_haelt_den_stift_der_noetig_ist_von_den_empfohlenen_belaegen_getrennt(
    stuck: Workshop,
) -> None:
    said = letter(stuck)

    assert "Jetzt nötig: vorne rechts instand setzen: der Bremssattel gleitet nicht frei." in said
    required = said.index(
        "Bremsen vorne: notwendig. Vorne rechts: der Bremssattel gleitet nicht frei."
    )
    suggested = said.index("Bremsbeläge vorne: empfohlen.")
    assert required < suggested
    between = said[suggested : said.index("Bremsscheiben vorne:", suggested)]
    assert "darauf würden wir uns nicht verlassen" in between
    assert "Vorne links: kommt mit, weil beide Seiten zusammengehören." in between
    assert "die Ursache sollte gefunden werden" in between
    assert "Bremssattel" not in between
    assert "Bremsbeläge vorne: notwendig" not in said
    assert "Wenn Sie warten" not in said
    assert "Heute muss nichts gemacht werden" not in said
    assert "Belag innen vorne rechts: 2,1 mm (0,083 Zoll), zu knapp, um sicher zu sein" in said


def test_case_13_ist_vorlaeufig_und_haelt_das_fahrzeug_zuerst_an(
    gate: Workshop, tmp_path: Path
) -> None:
    said = letter(gate)

    assert said.startswith("Vorläufig: Ihre Bremsen")
    stop = said.index("BITTE FAHREN SIE DIESES FAHRZEUG NICHT, BEVOR WIR DAMIT FERTIG SIND.")
    assert stop < said.index("Die Arbeit an diesem Fahrzeug ist nicht abgeschlossen. Noch offen:")
    assert "Bremsen vorne: notwendig. Bremsscheibe vorne links: Sie läuft nicht rund" in said
    assert "Bremsscheiben vorne: im zulässigen Bereich" not in said
    assert "Räder vorne: Wie fest die Schrauben angezogen sind, ist noch nicht erfasst." in said
    assert "Dass das Bremspedal fest ist, ist nicht bestätigt." in said

    shop = gate.copy(tmp_path)
    shop.does("finish", "SALLOW", "--by", "AM", typed=gate_case.THE_REST)
    final = letter(shop)
    assert final.startswith("Ihre Bremsen")
    assert "Bremsscheibe vorne links: neu eingebaut, 27,990 mm (1,1020 Zoll) gemessen" in final
    assert "BITTE" not in final


def test_ein_gesundes_auto_macht_niemandem_angst(two_cars: Workshop) -> None:
    said = letter(two_cars, "WELL")
    what_to_watch_for = said.index("Worauf Sie achten sollten")

    assert "Alles, was wir an Ihren Bremsen gemessen haben, ist im zulässigen Bereich." in said
    assert not ALARM.search(said[:what_to_watch_for])


def test_ein_gefaehrliches_auto_kann_niemand_missverstehen(two_cars: Workshop) -> None:
    said = letter(two_cars, "WORN")

    stop = "BITTE FAHREN SIE DIESES FAHRZEUG NICHT, BEVOR SEINE BREMSEN INSTAND GESETZT SIND"
    assert said.index(stop) < said.index("Das Wichtigste")
    assert "METALL REIBT AUF METALL" in said
    assert "Nötig, bevor gefahren wird: Bremsbeläge vorne links erneuern" in said
    assert "bevor Sie fahren" not in said
    assert "Die Grenze des Herstellers ist erreicht oder überschritten" in said
    assert "Belag innen vorne links: 0,0 mm (0,000 Zoll), Grenze überschritten" in said
    assert "Wenn Sie warten" not in said
    page = two_cars.does("summary", "WORN", "--out", "-", *GERMAN)
    assert page.index('role="alert"') < page.index("<h2>")


def test_what_was_put_right_and_when_to_come_back_are_told_in_german(repaired: Workshop) -> None:
    said = letter(repaired)

    assert "Belag innen vorne rechts: neu eingebaut, 11,0 mm (0,433 Zoll) gemessen; vorher" in said
    assert "Bremsbeläge vorne rechts: behoben: der Bremssattel gleitet nicht frei" in said
    assert "Ihre neuen Teile müssen eingebremst werden" in said
    assert "Kommen Sie früher wieder, damit wir die Beläge vorne ansehen: bei " in said


def test_the_note_is_written_in_german_and_named_after_it(
    two_cars: Workshop, tmp_path: Path
) -> None:
    note = " ".join(two_cars.does("summary", "WORN", "--due-in", "2 months", *GERMAN).split())
    assert "Belag innen vorne links: am 10.01.2026 war die Grenze erreicht" in note
    assert "Bitte rufen Sie uns an, bevor Sie weiterfahren." in note

    two_cars.does("summary", "--all", str(tmp_path), "--due-in", "2 months", *GERMAN)
    (name,) = [each.name for each in tmp_path.iterdir()]
    assert re.fullmatch(r"brakes-WORN-reminder-\d{4}-\d\d-\d\d-de\.txt", name)


# Which language


def test_the_shop_chooses_the_language_and_one_page_may_be_in_another(
    sallow: Workshop, tmp_path: Path
) -> None:
    shop = sallow.copy(tmp_path)
    assert '<html lang="en">' in shop.customer_page("SALLOW")
    shop.does("shop", "change", "--language", "de")

    assert '<html lang="de">' in shop.customer_page("SALLOW")
    assert shop.customer_text("SALLOW").startswith("Ihre Bremsen")
    assert shop.customer_text("SALLOW", "--language", "en").startswith("Your brakes")
    # The people of the shop go on reading what they read before.
    assert "Brakes of SALLOW" in shop.counter_sheet("SALLOW")


def test_no_page_in_another_language_takes_the_place_of_one(
    sallow: Workshop, tmp_path: Path
) -> None:
    for words in ((), GERMAN, ("--text", *GERMAN)):
        sallow.does("summary", "--all", str(tmp_path), *words)

    assert sorted(each.name for each in tmp_path.iterdir()) == [
        f"brakes-SALLOW-{DAY}-as-found-de.html",
        f"brakes-SALLOW-{DAY}-as-found-de.txt",
        f"brakes-SALLOW-{DAY}-as-found.html",
    ]


@pytest.mark.parametrize(
    "words",
    [
        ("summary", "SALLOW", "--text"),
        ("summary", "SALLOW", "--due-in", "2 months"),
        ("summary", "--all", "pages"),
        ("summary", "--all", "notes", "--due-in", "2 months"),
        ("shop", "change"),
    ],
)
def test_an_unknown_language_is_refused_in_one_line_and_nothing_is_written(
    words: tuple[str, ...], sallow: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    before = sallow.everything_on_file()
    refused = sallow.tries(*words, "--language", "kw")

    assert refused.exit_code == 3
    assert refused.stderr.splitlines() == [
        "error: 'kw' is not a language of the pages",
        "hint: languages: de en",
    ]
    assert list(tmp_path.iterdir()) == []
    assert sallow.everything_on_file() == before


def test_machines_read_the_same_whatever_the_language(sallow: Workshop, tmp_path: Path) -> None:
    shop = sallow.copy(tmp_path)
    before = shop.reads("summary", "SALLOW")
    shop.does("shop", "change", "--language", "de")

    assert shop.reads("summary", "SALLOW") == before
    assert shop.tries("summary", "SALLOW", "--json", *GERMAN).exit_code == 2


def test_distances_of_machines_are_decimal_kilometres(sallow: Workshop) -> None:
    first = sallow.reads("summary", "SALLOW")["waiting"]["ahead"][0]

    assert re.fullmatch(r"\d+\.0", first["at_least_km"])
    assert float(first["at_least_km"]) < float(first["seldom_more_km"])


# No sentence outside of the catalogues


def strange() -> Language:
    """A language whose every letter is strange: what is still read on a page is in no catalogue."""
    english = read_catalogue("en")
    return Language(
        replace(
            english,
            code="en",
            # Whose lists have no "and", so that none is taken for a word of the code.
            locale="ja_JP",
            day="yyyy-MM-dd",
            month="yyyy-MM",
            sentences={key: _strange(text) for key, text in english.sentences.items()},
        )
    )


def _strange(text: str) -> str:
    """Write letters outside of braces in the wide forms that Unicode has of them."""
    parts = re.split(r"(\{\w+\})", text)
    return "".join(
        part
        if part.startswith("{")
        else "".join(
            chr(ord(sign) + 0xFEE0) if sign.isascii() and sign.isalpha() else sign for sign in part
        )
        for part in parts
    )


def read_aloud(page: str) -> Iterator[str]:
    """Yield every text of a page that somebody sees or hears."""
    document = html5lib.parse(page, namespaceHTMLElements=False)
    for each in document.iter():
        if each.tag != "style":
            yield each.text or ""
        yield each.tail or ""
        yield from (each.get(name) or "" for name in ("aria-label", "title", "alt"))


def data_of(case: CustomerCase) -> list[str]:
    """Return what was typed and stands on a page as it was typed."""
    file = case.verdict.file
    typed = [
        *(file.vehicle.description, file.vehicle.tag, file.shop.name, file.shop.phone),
        case.customer.name if case.customer else "",
        *(each.note for each in file.findings),
    ]
    return sorted(filter(None, typed), key=len, reverse=True)


def left_over(texts: Iterator[str], data: list[str]) -> set[str]:
    found = set()
    for text in (" ".join(each.split()) for each in texts):
        for typed in data:
            text = text.replace(typed, "")
        found.update(re.findall(r"[^\W\d_]+", text, re.ASCII))
    return found


def cases_in(store: Store) -> Iterator[CustomerCase]:
    today = date(2026, 10, 12)
    found = every_customer_case(store, render=lambda _: "", today=today, with_places=True)
    for vehicle, case in list(found):
        assert case is not None
        yield case
        if case.verdict.file.stage is Stage.AS_LEFT:
            yield customer_case(
                store,
                vehicle.tag,
                visit_name=None,
                stage=Stage.AS_FOUND,
                render=None,
                today=today,
            )


def test_a_sentence_outside_of_the_catalogue_would_be_noticed() -> None:
    said = strange().say("part_at.rotor", place="left front")

    assert left_over(iter([said, "RF Quill 12 mm"]), ["Quill"]) == {"left", "front", "RF", "mm"}


@pytest.fixture(scope="module")
def shop(request: pytest.FixtureRequest) -> Workshop:
    """One of the shops above, which outlives the test: asked for within it, it would not."""
    found: Workshop = request.getfixturevalue(request.param)
    return found


@pytest.mark.parametrize(
    "shop",
    [
        *("sallow", "brisk", "stuck", "gate", "two_cars", "repaired", "declined"),
        pytest.param("demo", marks=pytest.mark.file),
    ],
    indirect=True,
)
def test_no_sentence_of_a_page_stands_outside_of_the_catalogue(shop: Workshop) -> None:
    lang, told = strange(), 0
    with open_store(shop.store) as store:
        for case in cases_in(store):
            file = case.verdict.file
            # At once, and when its readings are too old.
            for today in (file.visit.day, date(2027, 10, 12)):
                facts = customer_summary(
                    case.verdict, case.customer, today=today, closing=case.closing, lang=lang
                )
                page = summary_page(facts, drawn(case.places, file.shop, lang))
                texts = (*read_aloud(page), summary_text(facts))
                assert left_over(iter(texts), data_of(case)) == set(), file.vehicle.tag
                told += 1
    assert told


@pytest.mark.parametrize("shop", ["sallow", "two_cars"], indirect=True)
def test_no_sentence_of_a_note_stands_outside_of_the_catalogue(
    shop: Workshop, tmp_path: Path
) -> None:
    today = date(2026, 3, 1)
    with open_store(shop.copy(tmp_path).store) as store:
        refresh(store, lambda *_: None)
        found = list(every_reminder(store, Span(until=date(2031, 1, 1), within_mm=None), today))
        assert found
        for each in found:
            note = reminder_note(
                each.vehicle,
                each.customer,
                each.entry,
                each.parts,
                store.shop(),
                today,
                strange(),
            )
            data = [each.vehicle.description, each.vehicle.tag]
            assert left_over(iter([reminder_text(note)]), list(filter(None, data))) == set()


@pytest.fixture(scope="module")
def declined(two_cars: Workshop, tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """The dangerous car, worked on and not finished, with what it needs declined."""
    shop = two_cars.copy(tmp_path_factory.mktemp("declined"))
    shop.fits("WORN", "RF", "pads", "--size", "11.0 mm")
    shop.does("decline", "WORN", "LF pads", *finish_case.SIGNED)
    return shop


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    return Workshop(run_demo(tmp_path_factory.mktemp("demo"), date(2026, 10, 12)).store)
