"""Did you mean: the word that was probably meant."""

from __future__ import annotations

from collections.abc import Iterable


def did_you_mean(word: str, choices: Iterable[str]) -> str:
    """Return a hint with the nearest of the choices, or with all of them.

    >>> did_you_mean("gague", ["gauge", "unit"])
    'did you mean gauge?'
    >>> did_you_mean("zzz", ["gauge", "unit"])
    'one of: gauge unit'
    """
    known = list(choices)
    import difflib

    near = difflib.get_close_matches(word[:_LONGEST].lower(), known, n=1)
    if near:
        return f"did you mean {near[0]}?"
    return f"one of: {' '.join(known)}" if known else ""


_LONGEST = 40
"""Characters compared; no word of ours is longer, and the comparison is slow on long texts."""
