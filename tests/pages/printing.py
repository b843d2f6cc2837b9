"""A page as it comes out of the printer: how many sheets, what stands on them, in which colours."""

from __future__ import annotations

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser

from tests.pages.browser import opened_page

_LONGEST_S = 120
"""What has not looked at a sheet by then hangs."""


@dataclass(frozen=True, kw_only=True)
class Printed:
    """A page as it came out of the printer."""

    pdf: Path
    sheets: int
    width_pt: float
    height_pt: float

    @property
    def text(self) -> str:
        """What stands on the sheets."""
        return _said("pdftotext", "-layout", str(self.pdf), "-")

    def picture(self, sheet: int = 1) -> Path:
        """Draw one sheet, to be looked at."""
        stem = self.pdf.with_suffix("")
        _said(
            *("pdftoppm", "-png", "-r", "110", "-singlefile"),
            *("-f", str(sheet), "-l", str(sheet), str(self.pdf), str(stem)),
        )
        return stem.with_suffix(".png")

    @property
    def has_colour(self) -> bool:
        """Whether any dot of the first sheet is neither black, white nor grey."""
        stem = self.pdf.with_suffix("")
        _said("pdftoppm", "-r", "50", "-singlefile", str(self.pdf), str(stem))
        kind, size, depth, dots = stem.with_suffix(".ppm").read_bytes().split(b"\n", 3)
        width, height = map(int, size.split())
        assert (kind, depth, len(dots)) == (b"P6", b"255", 3 * width * height)
        return not dots[0::3] == dots[1::3] == dots[2::3]


def print_page(
    browser: Browser, page: str, folder: Path, *, paper: str, style: str = ""
) -> Printed:
    """Print a page on ``A4`` or ``letter``, with the margins that it asks for.

    The paper is named in a style of its own at the end, as a person chooses it in the dialogue.
    """
    source = folder / f"{paper}.html"
    added = f"<style>@page {{ size: {paper} portrait }} {style}</style></head>"
    assert page.count("</head>") == 1
    source.write_text(page.replace("</head>", added), encoding="utf-8")
    pdf = source.with_suffix(".pdf")
    with opened_page(browser, source) as opened:
        opened.page.pdf(path=pdf, prefer_css_page_size=True)
    facts = _said("pdfinfo", str(pdf))
    size = re.search(r"^Page size: +([\d.]+) x ([\d.]+) pts", facts, re.MULTILINE)
    sheets = re.search(r"^Pages: +(\d+)$", facts, re.MULTILINE)
    assert size is not None
    assert sheets is not None
    return Printed(
        pdf=pdf, sheets=int(sheets[1]), width_pt=float(size[1]), height_pt=float(size[2])
    )


def _said(*words: str) -> str:
    done = subprocess.run(
        words, capture_output=True, text=True, encoding="utf-8", timeout=_LONGEST_S, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout
