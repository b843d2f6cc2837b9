"""Languages of what a customer reads: complete catalogues, and formats that follow the language."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import product
from string import Formatter

import pytest
from babel import Locale

from brakelog.errors import InvalidInput
from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.agreement import How
from brakelog.record.closing import Check
from brakelog.record.corner import Corner, Side
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.quantity import Part, Position
from brakelog.record.shop import LANGUAGES, Shop
from brakelog.reports.language.catalogue import FOLDER, Catalogue, read_catalogue
from brakelog.reports.language.figures import both_sizes, typed_size
from brakelog.reports.language.language import Language, language_named
from brakelog.reports.plain_closing import plain_open
from brakelog.reports.plain_reminder import Due, lead_of
from brakelog.reports.plain_work import done_sentence
from brakelog.rules.closing import Closing, Status
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.measure import Measure

PLURALS = frozenset({"zero", "one", "two", "few", "many", "other"})
"""Names that Unicode CLDR gives to plural forms."""
ENGLISH = read_catalogue("en")
EVERY = tuple(language_named(code) for code in LANGUAGES)


def counted(catalogue: Catalogue) -> dict[str, set[str]]:
    """Return the plural forms of every sentence that goes with a number.

    A group that only has some of the names, such as the axles, is none of these.
    """
    groups: dict[str, set[str]] = {}
    for key in catalogue.sentences:
        group, _, name = key.rpartition(".")
        groups.setdefault(group, set()).add(name)
    return {group: names for group, names in groups.items() if names <= PLURALS}


def named(catalogue: Catalogue) -> dict[str, set[str]]:
    """Return every sentence by its name, whatever its plural form, with the words put into it."""
    groups = counted(catalogue)
    found: dict[str, set[str]] = {}
    for key, text in catalogue.sentences.items():
        group = key.rpartition(".")[0]
        name = group if group in groups else key
        found.setdefault(name, set()).update(words_in(text))
    return found


def words_in(text: str) -> Iterator[str]:
    for _, word, form, conversion in Formatter().parse(text):
        if word is not None:
            assert word.isidentifier()
            assert not form
            assert conversion is None
            yield word


# Catalogues


def test_every_catalogue_is_a_language_and_every_language_has_one() -> None:
    assert sorted(each.stem for each in FOLDER.glob("*.toml")) == sorted(LANGUAGES)


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_catalogue_says_all_that_english_says_and_nothing_else(code: str) -> None:
    # Missing and surplus names are both shown, as are words that English does not have.
    assert named(read_catalogue(code)) == named(ENGLISH)


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_number_has_just_the_plural_forms_of_its_language(code: str) -> None:
    catalogue = read_catalogue(code)
    forms = {Locale.parse(catalogue.locale).plural_form(number) for number in range(200)}
    groups = counted(catalogue)

    assert groups.keys() == counted(ENGLISH).keys()
    assert set(map(frozenset, groups.values())) == {frozenset(forms)}


@pytest.mark.parametrize("code", LANGUAGES)
def test_no_sentence_is_empty_or_untidy(code: str) -> None:
    for key, text in read_catalogue(code).sentences.items():
        assert text.strip(), key
        assert "  " not in text, key
        assert key == "list.between" or text == text.strip(), key


def test_no_english_sentence_is_left_in_another_catalogue() -> None:
    for code in set(LANGUAGES) - {"en"}:
        same = {
            key
            for key, text in read_catalogue(code).sentences.items()
            if text == ENGLISH.sentences[key] and len(re.findall(r"[A-Za-z]{3,}", text)) > 2
        }
        assert same - {"measured.row"} == set(), code


@pytest.mark.parametrize("lang", EVERY, ids=LANGUAGES)
def test_whatever_may_be_on_record_has_its_words(lang: Language) -> None:
    parts = [
        f"finding.{kind.value}.{part.value}" for kind in FindingKind for part in kind.facts.parts
    ]
    keys = [
        *parts,
        *(f"check.{each.value}" for each in Check),
        *(f"declined.how.{each.value}" for each in How),
        *(f"position.{each.value}" for each in Position),
        *(f"position_with_plate.{each.value}" for each in Position),
    ]
    assert all(lang.say(key) for key in keys)
    for key, words in (
        *((f"measure_at.{each.value.replace(' ', '-')}", ("place",)) for each in Measure),
        *((f"position_at.{each.value}", ("place",)) for each in Position),
        *((f"part_at.{each.value}", ("place",)) for each in Part),
        *((f"axle_parts.{each.value}", ("axle",)) for each in Part),
        *((f"size.{each.value}", ("number",)) for each in LengthUnit),
        *((f"distance.{each.value}", ("number",)) for each in DistanceUnit),
    ):
        assert "XX" in lang.say(key, **dict.fromkeys(words, "XX")), key
    assert all(lead_of(lang, each) for each in Due)
    for event, basis, size, before in product(FittingEvent, SizeBasis, ("", "1"), ("", "2")):
        assert done_sentence(lang, event, "part", size, basis, before)


@pytest.mark.parametrize("gap", Gap)
@pytest.mark.parametrize("lang", EVERY, ids=LANGUAGES)
def test_whatever_keeps_a_job_open_is_said(lang: Language, gap: Gap) -> None:
    item = OpenItem(
        gap=gap,
        hand=Hand.PARTS,
        text="",
        do="",
        axle=1,
        corner=Corner(axle=1, side=Side.LEFT),
        part=Part.PADS,
        position=Position.PAD_INNER,
        fastener="caliper",
    )
    of_axle = replace(item, corner=None, position=None)
    checked = replace(of_axle, check=Check.PEDAL_FIRM)
    said = plain_open(lang, Closing(status=Status.NOT_FINISHED, open=(item, of_axle, checked)))

    assert said
    assert all(each[:1].isupper() and each.endswith(".") and " :" not in each for each in said)


# Formats


def test_numbers_days_and_units_follow_the_language() -> None:
    english, german = language_named("en"), language_named("de")
    day, shop = date(2026, 3, 2), Shop()

    assert (english.day(day), english.month(day)) == ("2 Mar 2026", "Mar 2026")
    assert (german.day(day), german.month(day)) == ("02.03.2026", "März 2026")
    far = 62_400 * DistanceUnit.KM.mm
    assert english.distance(far, DistanceUnit.KM) == "62,400 km"
    assert german.distance(far, DistanceUnit.KM) == "62.400 km"
    size = 25_141_000
    assert both_sizes(english, size, shop, fine=True) == ("25.141 mm", "0.9898 in")
    assert both_sizes(german, size, shop, fine=True) == ("25,141 mm", "0,9898 Zoll")


def test_a_language_never_changes_the_unit_that_the_shop_reads() -> None:
    inches = Shop(unit=LengthUnit.INCH)

    assert both_sizes(language_named("de"), 3_000_000, inches, fine=False)[0] == "0,118 Zoll"


@pytest.mark.parametrize(
    ("typed", "english", "german"),
    [
        ("22.8 mm", "22.8 mm", "22,8 mm"),
        ("22,8 mm", "22.8 mm", "22,8 mm"),
        ("22.8mm", "22.8 mm", "22,8 mm"),
        ('0.906"', '0.906"', '0,906"'),
        ('7/32"', '7/32"', '7/32"'),
        ("1-1/16 in", "1-1/16 in", "1-1/16 Zoll"),
        ("60 thou", "60 thou", "60 Tausendstel Zoll"),
    ],
)
def test_a_figure_of_a_sheet_keeps_its_digits(typed: str, english: str, german: str) -> None:
    assert typed_size(language_named("en"), typed) == english
    assert typed_size(language_named("de"), typed) == german


def test_one_month_is_one_month() -> None:
    for lang, one, twelve in (("en", "1 month ", "12 months "), ("de", "1 Monat ", "12 Monaten ")):
        said = language_named(lang)
        assert one in f"{said.count('back.planned', 1, far='5')} ".replace(",", " ")
        assert twelve in f"{said.count('back.planned', 12, far='5')} ".replace(",", " ")


def test_a_sentence_begins_with_a_capital_and_the_rest_stays_as_it_is() -> None:
    assert language_named("de").sentence("finding.crack.rotor") == "Sie ist gerissen"
    said = language_named("de").sentence("part_at.rotor", place="hinten links")
    assert said == "Bremsscheibe hinten links"


def test_an_unknown_language_is_refused_with_those_that_there_are() -> None:
    with pytest.raises(InvalidInput, match="'xx' is not a language") as refused:
        language_named("xx")
    assert refused.value.hint == "languages: de en"
