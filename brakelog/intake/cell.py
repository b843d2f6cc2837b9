"""One cell of a sheet: what a spreadsheet program does to it, undone."""

from __future__ import annotations

import re

_PROTECTED = re.compile(r"'+[=+\-@]")
_AT_RISK = re.compile(r"'*[=+\-@]")


def unprotect(text: str) -> str:
    """Return the cell without the apostrophe that keeps it from being taken for a formula.

    >>> unprotect("'-0.02"), unprotect("'tis")
    ('-0.02', "'tis")
    """
    return text[1:] if _PROTECTED.match(text) else text


def protect(text: str) -> str:
    """Return the cell with an apostrophe where a spreadsheet would take it for a formula.

    ``unprotect`` gives back exactly what was protected.

    >>> protect("=1+1"), protect("27.4")
    ("'=1+1", '27.4')
    """
    return "'" + text if _AT_RISK.match(text) else text


def clean(text: str) -> str:
    """Return the cell without blanks at its ends and without protection."""
    body = text.strip()
    # Hardly any cell is protected or beyond ASCII, and a sheet has millions of them.
    if not body or (body[0] != "'" and body.isascii()):
        return body
    return unprotect(text.replace("\u00a0", " ").strip()).strip()
