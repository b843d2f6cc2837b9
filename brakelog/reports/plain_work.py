"""What was done, and what to watch for afterwards, in plain words and whole sentences."""

from __future__ import annotations

from brakelog.record.fitting import FittingEvent, SizeBasis

STOP = (
    "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
    "stop and call us, whatever this page says."
)
BEDDING_IN = (
    "Your new parts have to bed in, and that is left to you: on a clear road slow down about 20 "
    "times, gently, from 50 to 15 km/h (30 to 10 mph), with half a minute of driving between."
)
"""Common practice; the trade's texts name 8 to 30 gentle stops from about 50 km/h."""
CHANGED = (
    "Parts were changed: drive gently and avoid hard stops where you safely can for the first "
    "300 km (200 miles), and have the wheel fasteners re-tightened after 50 to 100 km (30 to 60 "
    "miles)."
)
"""Common practice."""
ESTIMATE = "The distances and days above are estimates from past driving, no promise."
FLUID = "Do not top up brake fluid; call us instead."
NOT_FINISHED = "Please do not drive this vehicle before we have finished it."

_NEW, _USED = FittingEvent.NEW, FittingEvent.USED
_CUT, _MOVED, _OFF = FittingEvent.REFINISHED, FittingEvent.MOVED, FittingEvent.REMOVED
_DONE = {
    (_NEW, False, False): "{part}: fitted new.",
    (_NEW, True, False): "{part}: fitted new, {size}.",
    (_NEW, False, True): "{part}: fitted new; before {before}.",
    (_NEW, True, True): "{part}: fitted new, {size}; before {before}.",
    (_USED, False, False): "{part}: fitted used.",
    (_USED, True, False): "{part}: fitted used, {size}.",
    (_USED, False, True): "{part}: fitted used; before {before}.",
    (_USED, True, True): "{part}: fitted used, {size}; before {before}.",
    (_CUT, False, False): "{part}: refinished.",
    (_CUT, True, False): "{part}: refinished, {size}.",
    (_CUT, False, True): "{part}: refinished; before {before}.",
    (_CUT, True, True): "{part}: refinished, {size}; before {before}.",
    (_MOVED, False, False): "{part}: moved.",
    (_MOVED, True, False): "{part}: moved, {size}.",
    (_MOVED, False, True): "{part}: moved; before {before}.",
    (_MOVED, True, True): "{part}: moved, {size}; before {before}.",
    (_OFF, False, False): "{part}: removed.",
    (_OFF, True, False): "{part}: removed, {size}.",
    (_OFF, False, True): "{part}: removed; before {before}.",
    (_OFF, True, True): "{part}: removed, {size}; before {before}.",
}
"""By what was done, whether its size is known, and whether the size before is."""


def done_sentence(event: FittingEvent, part: str, size: str, basis: SizeBasis, before: str) -> str:
    """Return what was done to one part: ``Left front inner pad: fitted new, 11.0 mm measured.``

    Parameters
    ----------
    event : FittingEvent
        What was done.
    part : str
        The part with its place.
    size : str
        Its size in both units; empty where it is not known.
    basis : SizeBasis
        Whether that was measured.
    before : str
        The size that was there before; empty where it was not read.
    """
    sized = f"{size} {basis.value}" if size else ""
    return _DONE[event, bool(size), bool(before)].format(part=part, size=sized, before=before)


def declined_stop_sentence(parts: str) -> str:
    """Return that the vehicle must not be driven, as needed work on some parts was declined."""
    return f"Please do not drive this vehicle: needed work was declined ({parts})."
