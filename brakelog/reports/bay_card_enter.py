"""What is typed to put a filled-in card on file."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.intake.step import quantities_of
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, walking_order
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle

_PLAIN = frozenset(".-_/")
_NAME = "VEHICLE"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entering:
    """One way in: when it is taken, and the command."""

    when: str
    command: str = ""


def how_to_enter(
    vehicle: Vehicle,
    *,
    stage: Stage,
    unit: LengthUnit,
    is_unit_typed: bool = False,
    corners: tuple[Corner, ...] = (),
    casts: tuple[str, ...] = (),
) -> tuple[Entering, ...]:
    """Return what is typed afterwards.

    Parameters
    ----------
    vehicle : Vehicle
        Whose card it is.
    stage : Stage
        Before or after the work.
    unit : LengthUnit
        Of a number without one where no gauge is taken.
    is_unit_typed : bool
        Whether that is another one than the shop's.
    corners : tuple of Corner
        Those on the card; empty where all are.
    casts : tuple of str
        Kinds of the limits that the card has a blank for, to be read from a part.
    """
    name = vehicle_argument(vehicle.tag)
    visit = (
        f'{name} --date ____-__-__ --odometer "________ {vehicle.odometer_unit.value}" --by ____'
    )
    visit += " --as-left" if stage is Stage.AS_LEFT else ""
    in_unit = f" --unit {unit.value}"
    only = (in_unit if is_unit_typed else "") + "".join(f" --corner {each}" for each in corners)
    first = (corners or walking_order(len(vehicle.brakes)))[0]
    word = quantities_of(vehicle.brakes[first.axle - 1])[0].value
    ways = [
        Entering(
            when="At a terminal it is asked for in the order of this card:",
            command=f"brakelog measure {visit}{only}",
        ),
        Entering(
            when=f"Or from a file of lines, each begun with corner and word, as {first} {word}: "
            f"the same{', without --corner,' if corners else ''} with",
            command=f"--lines FILE{'' if is_unit_typed else in_unit}",
        ),
        Entering(
            when="A lining ticked as with plate goes in as a line that ends in datum=plate; "
            "guided entry takes lining only. Neither ticked: ask who measured."
        ),
    ]
    if casts:
        ways.append(
            Entering(
                when=f"A figure stamped on a part, as {' or '.join(casts)}:",
                command=f'brakelog limits cast {name} CORNER {casts[0]} "____ {unit.value}"',
            )
        )
    if name == _NAME:
        ways.append(Entering(when=f"{_NAME} is the tag, plate or VIN of the vehicle."))
    return tuple(ways)


def vehicle_argument(tag: str) -> str:
    """Return the tag as every shell takes it; a word that stands for it where none would.

    >>> vehicle_argument("TL 4"), vehicle_argument("$(TL)")
    ('"TL 4"', 'VEHICLE')
    """
    is_typed = all(sign.isalnum() or sign == " " or sign in _PLAIN for sign in tag)
    if not is_typed or tag.startswith("-"):
        return _NAME
    return f'"{tag}"' if " " in tag else tag
