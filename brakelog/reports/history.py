"""The history of a vehicle's parts as a sheet: what ends first, then every reading on record."""

from __future__ import annotations

from datetime import date

from brakelog.record.shop import Shop
from brakelog.reports.history_order import Section, running_first, sections_of
from brakelog.reports.history_table import (
    earlier_meanings,
    earlier_table,
    meanings,
    readings_table,
)
from brakelog.reports.history_words import (
    is_cut_short,
    is_iron,
    name_of,
    not_before,
    short_refusal,
    straight_sentence,
    told,
)
from brakelog.reports.plain import WIDTH, Line, wrapped
from brakelog.reports.wear_scale import scale_of
from brakelog.rules.dating import months_between
from brakelog.rules.figure import counted, distance, one_unit
from brakelog.rules.part_history import PlaceHistory, RunningPart, VehicleHistory
from brakelog.rules.unfiled import going_on, unfiled_count
from brakelog.wear.projection import at_least_rounded_mm

_CUT_SHORT = "+"
"""Behind a bound that was cut because the part has not been driven far enough to say more."""


def history_sheet(
    history: VehicleHistory,
    *,
    width: int = WIDTH,
    today: date | None = None,
    draws: bool = False,
) -> list[Line]:
    """Return the sheet as lines.

    Parameters
    ----------
    history : VehicleHistory
        The history.
    width : int
        Columns.
    today : date, optional
        Says how old the newest visit is, and which day is past.
    draws : bool
        Whether to draw: of each kind of part of each axle the one that ends first, or every one
        where less than the whole vehicle was asked for. The tables hold all that is drawn.
    """
    lines = _head(history, width, today) + _wanting(history, width)
    lines += _at_a_glance(history, today)
    sections = sections_of(history)
    for section in sections:
        lines += _section(section, history, width, draws=draws)
    lines += _bare(history, width)
    if draws and sections:
        from brakelog.reports.history_chart import KEY

        lines += [Line(), *wrapped(f"Drawing: {KEY}", rest="  ", role="quiet", width=width)]
    return lines + _foot(history, width)


def _head(history: VehicleHistory, width: int, today: date | None) -> list[Line]:
    file = history.file
    visit, vehicle = file.visit, file.vehicle
    name = vehicle.tag + (f", {vehicle.description}" if vehicle.description else "")
    since = f" since {file.visits[0].day.isoformat()}" if len(file.visits) > 1 else ""
    lines = wrapped(f"History of {name}", rest="  ", role="title", width=width)
    lines.append(
        Line(
            text=f"As of {visit.day.isoformat()}, "
            f"{distance(visit.odometer_mm, visit.odometer_unit)}; "
            f"{counted(len(file.visits), 'visit')}{since}"
        )
    )
    months = 0 if today is None else months_between(visit.day, today)
    if months >= (visit.next_months or file.shop.next_months):
        lines += wrapped(
            f"The newest visit is {months} months old. What was measured since is not on file; "
            f"measure again before you decide.",
            rest="  ",
            role="open",
            width=width,
        )
    if file.unfiled:
        lines += wrapped(
            f"Entry is not finished: {counted(unfiled_count(file), 'answer')} not filed yet, and "
            f"not shown. Go on with: {going_on(file)}",
            rest="  ",
            role="open",
            width=width,
        )
    return lines


def _wanting(history: VehicleHistory, width: int) -> list[Line]:
    """Return the findings that ask for work: no distance outweighs them."""
    named = [f"{each.corner} {each.part.value}: {each.words}" for each in history.wanting]
    if not named:
        return []
    text = (
        f"Found at this visit, and not put right, whatever distance is told below: "
        f"{'; '.join(named)}. What it means: brakelog verdict {history.file.vehicle.tag}"
    )
    return wrapped(text, rest="  ", role="required", width=width)


def _at_a_glance(history: VehicleHistory, today: date | None) -> list[Line]:
    """Return one line for each part on the vehicle, what ends first at the top."""
    pairs = running_first(history)
    if len(history.places) == 1 or not pairs:
        return []
    shop = history.file.shop
    unit = scale_of(shop).unit.value
    lines = [
        Line(),
        Line(text="What ends first", role="heading"),
        Line(
            text=f"  {'part':<17}{f'{unit} read':>10}{'limit':>9}{'at least':>12}  "
            f"{'not before':<13}last read",
            role="quiet",
        ),
    ]
    lines += [_glance(place, part, shop, today) for place, part in pairs]
    if any(is_cut_short(part) for _, part in pairs):
        text = f"  {_CUT_SHORT} no more is said than three times what was driven."
        lines.append(Line(text=text, role="quiet"))
    return lines


def _glance(place: PlaceHistory, part: RunningPart, shop: Shop, today: date | None) -> Line:
    refusal = short_refusal(part, shop.distance_unit)
    if refusal:
        ahead = f"  {refusal:<25}"
    else:
        bound_mm = at_least_rounded_mm(part.told.projection, shop.distance_unit.mm)
        bound = distance(bound_mm, shop.distance_unit)
        cut = _CUT_SHORT if is_cut_short(part) else " "
        ahead = f"{bound:>12}{cut} {not_before(part, today):<13}"
    limit = scale_of(shop).figure(part.limit.nm) if part.limit else "-"
    day = part.readings[-1].day.isoformat() if part.readings else ""
    return Line(
        text=f"  {name_of(place):<17}{_last_size(place, part, shop):>10}{limit:>9}{ahead}{day}",
        role=_role(part),
    )


def _last_size(place: PlaceHistory, part: RunningPart, shop: Shop) -> str:
    if not part.readings:
        return "-"
    against = () if part.limit is None else (part.limit.nm,)
    size_nm = part.readings[-1].size_nm
    return one_unit(size_nm, shop, fine=is_iron(place), against=against).split()[0]


def _role(part: RunningPart) -> str:
    if part.life.is_out:
        return "required"
    return "plain" if part.told.projection.refusal is None else "open"


def _section(section: Section, history: VehicleHistory, width: int, *, draws: bool) -> list[Line]:
    shop = history.file.shop
    chosen = section.places if history.is_narrowed else (section.first,)
    lines = [Line(), Line(text=section.name, role="heading")]
    if draws:
        for place in chosen:
            lines += _drawing(place, shop, width)
    lines += readings_table(section, shop, width)
    lines += _said_quietly(meanings(section, shop), width)
    earlier = earlier_table(section, shop)
    if earlier:
        lines += [Line(), *earlier, *_said_quietly(earlier_meanings(section), width)]
    return lines + _sentences(section, chosen, shop, width)


def _drawing(place: PlaceHistory, shop: Shop, width: int) -> list[Line]:
    from brakelog.reports.history_chart import wear_chart

    rows = wear_chart(place, shop, width - 2)
    if not rows:
        return []
    unit = scale_of(shop).unit.value
    title = f"  {name_of(place)}: {unit} against odometer in {shop.distance_unit.value}"
    return [Line(text=title), *(Line(text=f"  {row}") for row in rows), Line()]


def _sentences(
    section: Section, chosen: tuple[PlaceHistory, ...], shop: Shop, width: int
) -> list[Line]:
    """Return how far the parts will go, and of every other one why that cannot be said."""
    said: dict[tuple[str, str], list[tuple[PlaceHistory, RunningPart]]] = {}
    for place in section.places:
        part = place.running
        if part is not None and (place in chosen or short_refusal(part, shop.distance_unit)):
            texts = told(part, shop), straight_sentence(part, shop.distance_unit)
            said.setdefault(texts, []).append((place, part))
    lines = [Line()] if said else []
    for (sentence, straight), alike in said.items():
        names = ", ".join(name_of(place) for place, _ in alike)
        lines += wrapped(
            f"{names}: {sentence}", first="  ", rest="    ", role=_role(alike[0][1]), width=width
        )
        lines += wrapped(straight, first="    ", rest="    ", role="quiet", width=width)
    return lines


def _said_quietly(texts: list[str], width: int) -> list[Line]:
    if not texts:
        return []
    return wrapped("; ".join(texts) + ".", first="  ", rest="  ", role="quiet", width=width)


def _bare(history: VehicleHistory, width: int) -> list[Line]:
    names = [name_of(place) for place in history.places if place.is_bare]
    if not names:
        return []
    text = f"Nothing on record: {', '.join(names)}."
    return [Line(), *wrapped(text, rest="  ", width=width)]


def _foot(history: VehicleHistory, width: int) -> list[Line]:
    tag = history.file.vehicle.tag
    text = (
        f"Each figure is the deciding one of its visit. Whether a part may stay is not said here: "
        f"brakelog verdict {tag}."
    )
    if not history.is_narrowed:
        text += f" One corner or part: brakelog history {tag} --corner LF --part pads."
    return [Line(), *wrapped(text, rest="  ", role="quiet", width=width)]
