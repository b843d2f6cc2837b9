"""A gauge study, from its sheet to what it says; nothing is put on file."""

from __future__ import annotations

from typing import BinaryIO, TextIO

from brakelog.errors import InvalidInput, clip
from brakelog.intake.study_sheet import read_study
from brakelog.lengths import TypedLength, parse_length
from brakelog.metrology.gauge_study import GaugeStudy, work_out
from brakelog.metrology.study import crossed


def study_gauge(
    stream: BinaryIO | TextIO, name: str, *, tolerance: str | None = None
) -> GaugeStudy:
    """Work out the gauge study of a sheet.

    Parameters
    ----------
    stream : BinaryIO or TextIO
        The sheet.
    name : str
        Name of the file, for messages.
    tolerance : str, optional
        Width of a tolerance to set the gauge against, with its unit.

    Raises
    ------
    BadSheet
        With everything that is wrong with the sheet.
    InvalidInput
        Where it is no sheet, or the tolerance is no length.
    """
    width = None if tolerance is None else _width(tolerance)
    sheet = read_study(stream, name)
    return work_out(crossed(sheet.readings), unit=sheet.unit, tolerance=width)


def _width(text: str) -> TypedLength:
    try:
        width = parse_length(text, declared=None, close_blanks=True)
    except InvalidInput as error:
        raise InvalidInput(f"tolerance: {error}", hint=error.hint) from error
    if width.nm == 0:
        raise InvalidInput(
            f"tolerance: {clip(text)!r} has no width",
            hint='such as "0.02 mm": from one limit to the other, or a limit of variation',
        )
    return width
