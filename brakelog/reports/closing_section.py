"""The end of the job on the counter sheet: finished or not, who agreed, what was declined."""

from __future__ import annotations

from brakelog.reports.closing_words import (
    NOT_TO_BE_DRIVEN,
    agreement_words,
    declined_words,
    newest_agreements,
    recheck_words,
)
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.figure import counted

_SIGN = "Signature of the customer: ______________________________"


def closing_section(file: CaseFile, closing: Closing, width: int) -> list[Line]:
    """Return the section; nothing where the visit only inspected and nothing was said."""
    if closing.status is Status.NO_WORK and not closing.record.agreements:
        return []
    lines = [Line(), *job_lines(file, closing, width), *_declined(file, closing, width)]
    if closing.declined:
        lines += [Line(text=f"    {_SIGN}")]
    return lines


def job_lines(file: CaseFile, closing: Closing, width: int) -> list[Line]:
    """Return whether the job is finished and what is open, and what the customer said."""
    lines = [] if closing.status is Status.NO_WORK else _status(file, closing, width)
    said = [agreement_words(each) for each in newest_agreements(closing.record.agreements)]
    texts = [f"{text[:1].upper()}{text[1:]}." for text in said]
    if closing.bedding_in:
        texts.append(f"Bedding-in by the {closing.bedding_in}.")
    texts += [first_sentence(recheck_words(file, each)) for each in closing.rechecks]
    for text in texts:
        lines += wrapped(text, first="  - ", rest="    ", width=width)
    return lines


def _declined(file: CaseFile, closing: Closing, width: int) -> list[Line]:
    lines: list[Line] = []
    for each in closing.declined:
        stop = f" {NOT_TO_BE_DRIVEN}" if each.is_unsafe else ""
        text = first_sentence(declined_words(file, each)) + stop
        lines += wrapped(text, first="  - ", rest="    ", role="required", width=width)
    return lines


def _status(file: CaseFile, closing: Closing, width: int) -> list[Line]:
    if not closing.is_preliminary:
        return [Line(text="Job: finished.", role="heading")]
    count = counted(len(closing.open), "thing")
    lines = wrapped(
        f"Job: NOT FINISHED, {count} open; brakelog finish {file.vehicle.tag} says what to do.",
        role="required",
        rest="  ",
        width=width,
    )
    for item in closing.open:
        text = first_sentence(item.text)
        lines += wrapped(text, first="  - ", rest="    ", role="open", width=width)
    return lines


def first_sentence(text: str) -> str:
    """Return what comes first; the sheet says the rest at the part, and ``finish`` what to do.

    >>> first_sentence("LF rotor, to be put right. Runout 0.09 mm. Read it again.")
    'LF rotor, to be put right.'
    """
    first, stop, _ = text.partition(". ")
    return first + stop.strip()
