"""The end of the job on the counter sheet: finished or not, who agreed, what was declined."""

from __future__ import annotations

from brakelog.reports.closing_words import agreement_words, declined_words, recheck_words
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.figure import counted

_SIGN = "Signature of the customer: ______________________________"


def closing_section(file: CaseFile, closing: Closing, width: int) -> list[Line]:
    """Return the section; nothing where the visit only inspected and nothing was said."""
    if closing.status is Status.NO_WORK and not closing.record.agreements:
        return []
    lines = [Line()]
    if closing.status is not Status.NO_WORK:
        lines += _status(file, closing, width)
    said = [agreement_words(each) for each in closing.record.agreements]
    texts = [f"{text[:1].upper()}{text[1:]}." for text in said]
    if closing.bedding_in:
        texts.append(f"Bedding-in by the {closing.bedding_in}.")
    texts += [recheck_words(file, each) for each in closing.rechecks]
    for text in texts:
        lines += wrapped(text, first="  - ", rest="    ", width=width)
    for each in closing.declined:
        lines += wrapped(
            declined_words(file, each), first="  - ", rest="    ", role="required", width=width
        )
    if closing.declined:
        lines += [Line(text=f"    {_SIGN}")]
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
        lines += wrapped(item.text, first="  - ", rest="    ", role="open", width=width)
    return lines
