"""Did you mean: the word that was probably meant."""

from __future__ import annotations

from collections.abc import Iterable

USUAL, CLOSE = 0.6, 0.7
"""How near a word must be: the standard library's own, and a closer one where a wrong guess does
harm, such as a leak where "clear" was typed. Assumption. [-]"""


def did_you_mean(word: str, choices: Iterable[str], *, cutoff: float = USUAL) -> str:
    """Return a hint with the nearest of the choices, or with all of them.

    Parameters
    ----------
    word : str
        What was typed.
    choices : iterable of str
        What could have been meant.
    cutoff : float
        How near a choice must be, from 0 to 1. [-]

    Examples
    --------
    >>> did_you_mean("gague", ["gauge", "unit"])
    'did you mean gauge?'
    >>> did_you_mean("zzz", ["gauge", "unit"])
    'one of: gauge unit'
    """
    known = list(choices)
    import difflib

    near = difflib.get_close_matches(word[:_LONGEST].lower(), known, n=1, cutoff=cutoff)
    if near:
        return f"did you mean {near[0]}?"
    return f"one of: {' '.join(known)}" if known else ""


_LONGEST = 40
"""Characters compared; no word of ours is longer, and the comparison is slow on long texts."""
