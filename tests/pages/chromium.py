"""The browser of this machine, and what reads what it prints.

Debian's packages are ``chromium`` and ``poppler-utils``; the same programs from elsewhere do.
"""

from __future__ import annotations

import os
import shutil

import pytest

_BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def need_chromium() -> None:
    """Skip where there is no browser to print with; never where tests are run for a change."""
    missing = [
        name
        for name, path in (("chromium", browser_path()), ("pdfinfo", shutil.which("pdfinfo")))
        if path is None
    ]
    if not missing:
        return
    said = f"not installed: {', '.join(missing)}"
    if os.environ.get("CI"):
        pytest.fail(said)
    pytest.skip(said)


def browser_path() -> str | None:
    """Return the browser of this machine."""
    return next(filter(None, map(shutil.which, _BROWSERS)), None)
