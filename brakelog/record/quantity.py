"""What is measured at a corner, and on which part."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import NM_PER_MM, LengthUnit, print_length
from brakelog.record.likely import likely_values
from brakelog.record.member import Member


class Part(Member):
    """What a verdict is given for."""

    ROTOR = "rotor"
    PADS = "pads"
    DRUM = "drum"
    SHOES = "shoes"


class Quantity(Member):
    """One measured quantity; the value is the word typed for it."""

    ROTOR = "rotor"
    RUNOUT = "runout"
    SCORING = "scoring"
    HUB_RUNOUT = "hub-runout"
    PAD_INNER = "pad-in"
    PAD_OUTER = "pad-out"
    DRUM_OPEN = "drum-open"
    DRUM_CLOSED = "drum-closed"
    SHOE_LEADING = "shoe-lead"
    SHOE_TRAILING = "shoe-trail"

    facts: QuantityFacts
    """What is known about the quantity itself."""
    is_lining: bool
    """Whether friction material is measured."""
    position: Position | None
    """The wearing part that the reading tells the size of; None for runout and scoring."""


class Position(Member):
    """One wearing part at a corner, with a life of its own; the value is the word typed."""

    ROTOR = "rotor"
    PAD_INNER = "pad-in"
    PAD_OUTER = "pad-out"
    DRUM = "drum"
    SHOE_LEADING = "shoe-lead"
    SHOE_TRAILING = "shoe-trail"

    part: Part
    """The part that the position belongs to."""
    label: str
    """The trade's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityFacts:
    """Names and bounds of one quantity."""

    label: str
    part: Part
    points: tuple[str, ...]
    """What guided entry asks for by default, in order."""
    least_nm: int
    most_nm: int
    """A value outside cannot be this quantity: a slip of unit, point or line. [nm]"""
    what_else: str
    """What a value outside usually is."""


_MM = NM_PER_MM
_NINE = tuple(f"point {n}" for n in range(1, 10))
_FACTS = {
    Quantity.ROTOR: QuantityFacts(
        label="rotor thickness",
        part=Part.ROTOR,
        points=_NINE,
        least_nm=2 * _MM,
        most_nm=80 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.RUNOUT: QuantityFacts(
        label="runout",
        part=Part.ROTOR,
        points=("total indicator reading",),
        least_nm=0,
        most_nm=3 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.SCORING: QuantityFacts(
        label="scoring depth",
        part=Part.ROTOR,
        points=("deepest groove",),
        least_nm=0,
        most_nm=8 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.HUB_RUNOUT: QuantityFacts(
        label="hub face runout",
        part=Part.ROTOR,
        points=("total indicator reading",),
        least_nm=0,
        most_nm=3 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.PAD_INNER: QuantityFacts(
        label="inner pad lining",
        part=Part.PADS,
        points=("leading end", "trailing end"),
        least_nm=0,
        most_nm=40 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.PAD_OUTER: QuantityFacts(
        label="outer pad lining",
        part=Part.PADS,
        points=("leading end", "trailing end"),
        least_nm=0,
        most_nm=40 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.DRUM_OPEN: QuantityFacts(
        label="drum diameter, open edge",
        part=Part.DRUM,
        points=("0 deg", "90 deg"),
        least_nm=100 * _MM,
        most_nm=600 * _MM,
        what_else="unit, or the gauge's oversize alone",
    ),
    Quantity.DRUM_CLOSED: QuantityFacts(
        label="drum diameter, closed edge",
        part=Part.DRUM,
        points=("0 deg", "90 deg"),
        least_nm=100 * _MM,
        most_nm=600 * _MM,
        what_else="unit, or the gauge's oversize alone",
    ),
    Quantity.SHOE_LEADING: QuantityFacts(
        label="leading shoe lining",
        part=Part.SHOES,
        points=("top end", "bottom end"),
        least_nm=0,
        most_nm=40 * _MM,
        what_else="unit, or the decimal point",
    ),
    Quantity.SHOE_TRAILING: QuantityFacts(
        label="trailing shoe lining",
        part=Part.SHOES,
        points=("top end", "bottom end"),
        least_nm=0,
        most_nm=40 * _MM,
        what_else="unit, or the decimal point",
    ),
}
"""Nine rotor points satisfy every published "at least 8" and, being odd, are blind to no low order
of thickness variation. The bounds are assumptions, set wide: rotors of cars and light trucks are
7 to 45 mm, drums 150 to 350 mm (common practice); they only catch what cannot be."""

LININGS = frozenset(
    {Quantity.PAD_INNER, Quantity.PAD_OUTER, Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING}
)
_POSITIONS = {
    Quantity.ROTOR: Position.ROTOR,
    Quantity.PAD_INNER: Position.PAD_INNER,
    Quantity.PAD_OUTER: Position.PAD_OUTER,
    Quantity.DRUM_OPEN: Position.DRUM,
    Quantity.DRUM_CLOSED: Position.DRUM,
    Quantity.SHOE_LEADING: Position.SHOE_LEADING,
    Quantity.SHOE_TRAILING: Position.SHOE_TRAILING,
}
_POSITION_PART = {
    Position.ROTOR: Part.ROTOR,
    Position.PAD_INNER: Part.PADS,
    Position.PAD_OUTER: Part.PADS,
    Position.DRUM: Part.DRUM,
    Position.SHOE_LEADING: Part.SHOES,
    Position.SHOE_TRAILING: Part.SHOES,
}
_POSITION_LABEL = {
    Position.ROTOR: "rotor",
    Position.PAD_INNER: "inner pad",
    Position.PAD_OUTER: "outer pad",
    Position.DRUM: "drum",
    Position.SHOE_LEADING: "leading shoe",
    Position.SHOE_TRAILING: "trailing shoe",
}
for _quantity in Quantity:
    # Written on the members themselves: they are asked for it more often than for anything else.
    _quantity.facts = _FACTS[_quantity]
    _quantity.is_lining = _quantity in LININGS
    _quantity.position = _POSITIONS.get(_quantity)
for _position in Position:
    _position.part = _POSITION_PART[_position]
    _position.label = _POSITION_LABEL[_position]

POSITIONS_OF = {
    Part.ROTOR: (Position.ROTOR,),
    Part.PADS: (Position.PAD_INNER, Position.PAD_OUTER),
    Part.DRUM: (Position.DRUM,),
    Part.SHOES: (Position.SHOE_LEADING, Position.SHOE_TRAILING),
}

DISC_QUANTITIES = (
    Quantity.PAD_INNER,
    Quantity.PAD_OUTER,
    Quantity.ROTOR,
    Quantity.RUNOUT,
    Quantity.SCORING,
)
DRUM_QUANTITIES = (
    Quantity.DRUM_OPEN,
    Quantity.DRUM_CLOSED,
    Quantity.SHOE_LEADING,
    Quantity.SHOE_TRAILING,
    Quantity.SCORING,
)
"""What is measured on a brake, in the order in which it is asked for; scoring on either."""

_OTHER_WORDS = {
    "shoe-primary": Quantity.SHOE_LEADING,
    "shoe-secondary": Quantity.SHOE_TRAILING,
}
"""On duo-servo brakes the leading shoe is called primary, the trailing one secondary."""


def parse_quantity(text: str) -> Quantity:
    """Read the word typed for a quantity.

    Raises
    ------
    InvalidInput
        Where no quantity goes by that word.
    """
    word = text.strip().lower()
    if word in _OTHER_WORDS:
        return _OTHER_WORDS[word]
    try:
        return Quantity(word)
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a quantity", hint=" ".join(q.value for q in Quantity)
        ) from None


def check_window(quantity: Quantity, nm: int, text: str, unit: LengthUnit) -> None:
    """Refuse a value that cannot be this quantity, whatever the part is like.

    Raises
    ------
    InvalidInput
        With the value in the other unit, and what it may have been meant to be.
    """
    facts = quantity.facts
    if facts.least_nm <= nm <= facts.most_nm:
        return
    if unit is LengthUnit.MM:
        other = f"{print_length(nm, LengthUnit.INCH, decimals=4)} in"
    else:
        other = f"{print_length(nm, LengthUnit.MM, decimals=3)} mm"
    raise InvalidInput(
        f"{clip(text)!r} read in {unit.value} is {other}: "
        f"{_with_article(facts.label)} is never that",
        hint=_what_it_may_be(quantity, nm, unit),
    )


def _with_article(label: str) -> str:
    """Return ``an inner pad lining`` or ``a drum diameter, open edge,``."""
    article = "an" if label[0] in "aeiou" else "a"
    return f"{article} {label}" + ("," if "," in label else "")


_USUAL_NM = {
    Part.ROTOR: (5 * _MM, 50 * _MM),
    Part.DRUM: (140 * _MM, 420 * _MM),
    Part.PADS: (_MM // 2, 20 * _MM),
    Part.SHOES: (_MM // 2, 20 * _MM),
}
_USUAL_RUNOUT_NM = (5_000, 300_000)
"""What is met in service, a little wider: rotors 7 to 45 mm, drums 150 to 350 mm, linings up to
20 mm (common practice); runouts and depths of a groove up to 0.3 mm, assumption. [nm]"""
_COUNTED_FROM_ZERO_NM = 5 * _MM
"""Below this a drum gauge gave its oversize alone, or a micrometer counts from a zero set on the
part: 5 mm, common practice. [nm]"""


def _what_it_may_be(quantity: Quantity, nm: int, unit: LengthUnit) -> str:
    """Name the slips that would explain a value outside the window, with what would be meant."""
    facts = quantity.facts
    is_size = quantity.position is not None
    if quantity in (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED) and nm < _COUNTED_FROM_ZERO_NM:
        return "the gauge's oversize alone? type the whole diameter, rods and dial"
    meant = likely_values(
        nm,
        unit,
        usual_nm=_USUAL_NM[facts.part] if is_size else _USUAL_RUNOUT_NM,
        other_units=(LengthUnit.MM, LengthUnit.INCH, *(() if is_size else (LengthUnit.THOU,))),
    )
    if meant:
        return f"{' or '.join(meant[:2])}? Check the {facts.what_else}"
    if quantity is Quantity.ROTOR and nm < _COUNTED_FROM_ZERO_NM:
        return "does the gauge count from a zero set on the part? zero it closed"
    return f"check the {facts.what_else}; a unit may be typed behind the number"
