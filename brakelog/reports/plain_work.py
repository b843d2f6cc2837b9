"""What was done, in plain words and whole sentences."""

from __future__ import annotations

from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.reports.language.language import Language


def done_sentence(
    lang: Language, event: FittingEvent, part: str, size: str, basis: SizeBasis, before: str
) -> str:
    """Return what was done to one part: ``Left front inner pad: fitted new, 11.0 mm measured.``

    Parameters
    ----------
    lang : Language
        The customer's language.
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
    key = f"done.{event.value}{'_size' if size else ''}{'_before' if before else ''}"
    sized = lang.say(f"done.basis.{basis.value}", size=size)
    return lang.sentence(key, part=part, size=sized, before=before)
