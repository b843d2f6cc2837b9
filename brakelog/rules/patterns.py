"""What the wear says: patterns in the record with their probable causes and the next checks.

Hints never change a verdict. They are silent where the variant is known to wear so, where a
question about the readings is open, and where a reading that the pattern needs was not taken.

The record cannot show these patterns today, so they are left out:

- taper from the top of a pad to its bottom (a caliper that spreads): linings are read at their
  two ends, not at two heights;
- one face of a rotor worn far more than the other: its thickness is read across both;
- a wear sensor that tripped over a thick lining: whether it tripped is not on record;
- fluid full over thin pads: the level is said when a job is closed, not when the car comes in.
"""

from __future__ import annotations

from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag import Flag
from brakelog.rules.hint import Hint, Pattern
from brakelog.rules.hinting import Scene
from brakelog.rules.pattern_drums import drum_hints
from brakelog.rules.pattern_pace import pace_hints
from brakelog.rules.pattern_rotors import rotor_hints
from brakelog.rules.pattern_sides import side_hints
from brakelog.rules.pattern_wheels import wheel_hints
from brakelog.rules.verdict import PartVerdict

_MOST_CERTAIN_FIRST = (
    Pattern.INNER_WORN,
    Pattern.OUTER_WORN,
    Pattern.TAPERED_OPPOSITE,
    Pattern.BELL_MOUTHED,
    Pattern.VARIATION_AND_RUNOUT,
    Pattern.RUNOUT_ALONE,
    Pattern.VARIATION_ALONE,
    Pattern.BACK_SOON,
    Pattern.ONE_WHEEL_IDLE,
    Pattern.PARKING_BRAKE,
    Pattern.ONE_WHEEL_WORN,
    Pattern.SHOES_ONE_SIDE,
    Pattern.TAPERED,
    Pattern.LITTLE_USE,
    Pattern.SHOES_IDLE,
    Pattern.REAR_FAST,
    Pattern.AXLE_FAST,
    Pattern.FASTER_THAN_BEFORE,
    Pattern.ALL_FAST,
)
"""How surely a pattern points to its cause: what one wheel shows against itself before what it
shows against the other, before what rates of wear show; assumption."""


def hints_of(
    file: CaseFile, parts: tuple[PartVerdict, ...], flags: tuple[Flag, ...]
) -> tuple[Hint, ...]:
    """Return every pattern that the record shows, the most certain first.

    Parameters
    ----------
    file : CaseFile
        The record, with its questions and the traits of the variant.
    parts : tuple of PartVerdict
        Every part of the vehicle, judged.
    flags : tuple of Flag
        The differences that are large enough.

    Returns
    -------
    tuple of Hint
        What a finding bears out comes first; then by how surely a pattern points to its cause.
    """
    scene = Scene(file=file, parts=parts, flags=flags)
    found = [
        *wheel_hints(scene),
        *side_hints(scene),
        *drum_hints(scene),
        *rotor_hints(scene),
        *pace_hints(scene),
    ]
    return tuple(
        sorted(
            found,
            key=lambda each: (not each.is_borne_out, _MOST_CERTAIN_FIRST.index(each.pattern)),
        )
    )
