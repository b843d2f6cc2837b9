"""What the customer agreed to, and what was declined."""

from __future__ import annotations

import enum
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from brakelog.errors import InvalidInput, clip
from brakelog.record.corner import Corner, axle_name, parse_axle, parse_corner
from brakelog.record.quantity import Part
from brakelog.record.vehicle import AxleBrake


class Consent(enum.Enum):
    """What was said; the value is the word typed."""

    AGREED = "agreed"
    DECLINED = "declined"


class How(enum.Enum):
    """How it was said; the value is the word typed."""

    SIGNED = "signed"
    IN_PERSON = "in-person"
    PHONE = "phone"
    MAIL = "mail"
    MESSAGE = "message"

    @property
    def label(self) -> str:
        """How it is said: ``in person``."""
        return self.value.replace("-", " ")


class Work(enum.Enum):
    """What can be agreed to on an axle; the value is the word typed."""

    PADS = "pads"
    ROTOR = "rotor"
    SHOES = "shoes"
    DRUM = "drum"
    CALIPER = "caliper"
    """Caliper or wheel cylinder with slides, hardware and hoses: what a part stays stuck on."""
    BRAKES = "brakes"
    """All of it."""

    @classmethod
    def of(cls, part: Part) -> Work:
        """Return the work of changing or machining a part."""
        return cls(part.value)


_WORK_WORDS = {
    "pad": Work.PADS,
    "rotors": Work.ROTOR,
    "disc": Work.ROTOR,
    "discs": Work.ROTOR,
    "disk": Work.ROTOR,
    "disks": Work.ROTOR,
    "shoe": Work.SHOES,
    "drums": Work.DRUM,
    "calipers": Work.CALIPER,
    "calliper": Work.CALIPER,
    "callipers": Work.CALIPER,
    "cylinder": Work.CALIPER,
    "cylinders": Work.CALIPER,
    "slides": Work.CALIPER,
    "hoses": Work.CALIPER,
    "brake": Work.BRAKES,
    "all": Work.BRAKES,
}
_FITS = {
    Work.PADS: AxleBrake.DISC,
    Work.ROTOR: AxleBrake.DISC,
    Work.SHOES: AxleBrake.DRUM,
    Work.DRUM: AxleBrake.DRUM,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkItem:
    """Work on one axle, or at one corner of it."""

    axle: int
    work: Work
    corner: Corner | None = None
    """None for both sides."""

    def covers(self, corner: Corner, work: Work) -> bool:
        """Whether some work at a corner is what this item names."""
        return (
            self.axle == corner.axle
            and self.corner in (None, corner)
            and self.work in (work, Work.BRAKES)
        )

    def __str__(self) -> str:
        return f"{self.corner or axle_name(self.axle)} {self.work.value}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """One thing that the customer said; the newest about the same work counts."""

    id: str
    visit_id: str
    consent: Consent
    items: tuple[WorkItem, ...]
    day: date
    how: How
    time: str = ""
    """``10:20``; empty where nobody said."""
    cost: str = ""
    """As quoted, as typed."""
    note: str = ""
    who: str = ""
    """On the customer's side. Kept apart from the evidence."""
    number: str = ""
    """The number that was called. Kept apart from the evidence."""
    person_id: str | None = None
    recorded_at: datetime | None = None

    @property
    def what(self) -> str:
        """The work in words: ``front pads, LF rotor``."""
        return ", ".join(str(item) for item in self.items)

    def covers(self, corner: Corner, work: Work) -> bool:
        """Whether some work at a corner is among what it names."""
        return any(item.covers(corner, work) for item in self.items)


def newest_about(agreements: tuple[Agreement, ...], corner: Corner, work: Work) -> Agreement | None:
    """Return what the customer said last about some work at a corner; oldest are listed first."""
    about = [each for each in agreements if each.covers(corner, work)]
    return about[-1] if about else None


def parse_work(text: str, brakes: tuple[AxleBrake, ...]) -> tuple[WorkItem, ...]:
    """Read what work is meant: ``front pads and rotors, LR drum``.

    Raises
    ------
    InvalidInput
        Where a word is neither a place nor a part, a part has no place, or the vehicle has no
        such part there.

    Examples
    --------
    >>> two = (AxleBrake.DISC, AxleBrake.DRUM)
    >>> [str(item) for item in parse_work("front pads and rotors, LR drum", two)]
    ['front pads', 'front rotor', 'LR drum']
    """
    items = tuple(dict.fromkeys(_items(text)))
    if not items:
        raise InvalidInput("no work is named", hint='such as "front pads, front rotor"')
    for item in items:
        if item.axle > len(brakes):
            raise InvalidInput(f"the vehicle has no {axle_name(item.axle)}", hint="check the axle")
        if _FITS.get(item.work, brakes[item.axle - 1]) is not brakes[item.axle - 1]:
            brake = brakes[item.axle - 1].value
            raise InvalidInput(
                f"the {axle_name(item.axle)} axle has no {item.work.value}: {brake} brakes",
                hint="check the axle and the part",
            )
    return items


def _items(text: str) -> Iterator[WorkItem]:
    """Yield the items: places count for all parts behind them, up to the next place."""
    places: list[tuple[int, Corner | None]] = []
    has_part = False
    words = [word for word in re.split(r"[\s,;+&]+", text.lower()) if word not in ("", "and")]
    for word in words:
        place = _place(word)
        if place is not None:
            places = [place] if has_part else [*places, place]
            has_part = False
            continue
        if word == "axle":
            continue
        work = _work(word)
        if not places:
            raise InvalidInput(
                f"where {clip(word)!r} is meant is not said", hint="such as front pads, LR drum"
            )
        has_part = True
        for axle, corner in places:
            yield WorkItem(axle=axle, work=work, corner=corner)
    if places and not has_part:
        raise InvalidInput(
            f"what is meant behind {clip(words[-1])!r} is not said",
            hint=" ".join(each.value for each in Work),
        )


def _place(word: str) -> tuple[int, Corner | None] | None:
    try:
        corner = parse_corner(word)
        return corner.axle, corner
    except InvalidInput:
        pass
    try:
        return parse_axle(word), None
    except InvalidInput:
        return None


def _work(word: str) -> Work:
    if word in _WORK_WORDS:
        return _WORK_WORDS[word]
    try:
        return Work(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(word)!r} is neither a place nor a part",
            hint="such as front pads, LR drum; a note says the rest",
        ) from None


def parse_item(text: str) -> WorkItem:
    """Read one item as ``str`` prints it."""
    (item,) = _items(text)
    return item


def parse_how(text: str) -> How:
    """Read how it was said.

    Raises
    ------
    InvalidInput
        Where it is none of the ways.
    """
    word = "-".join(text.lower().split())
    try:
        return How(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} does not say how", hint=" ".join(each.value for each in How)
        ) from None
