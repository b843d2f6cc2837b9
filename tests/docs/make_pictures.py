"""Take the pictures of the documentation from the pages of the sample workshop.

Run it as ``python tests/docs/make_pictures.py`` after the customer's page has changed, and look
at what it made. Needs a browser, as the tests of the pages do.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import pdfplumber
from PIL import Image

from tests.pages.browser import opened_browser, opened_page
from tests.pages.customer_pages import sample_pages

PICTURES = Path(__file__).resolve().parents[2] / "docs" / "pictures"
SHOWN = "HERON-4"
PAPER_DPI = 100
PHONE = (390, 760)
"""A phone in the hand, and what it shows before anybody scrolls. [px]"""
_COLOURS = 96
"""Enough for two colours, greys and the edges of letters."""


def main() -> None:
    """Make every picture anew."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        page = sample_pages(folder)[SHOWN]
        with opened_browser() as browser:
            with opened_page(browser, page) as opened:
                paper = opened.printed(folder / "page.pdf", "A4").file
            with opened_page(browser, page, width=PHONE[0], height=PHONE[1]) as opened:
                opened.page.screenshot(path=folder / "phone.png")
        with pdfplumber.open(paper) as pdf:
            keep(
                pdf.pages[0].to_image(PAPER_DPI, antialias=True).original, "customer-page-paper.png"
            )
        with Image.open(folder / "phone.png") as phone:
            keep(phone, "customer-page-phone.png")


def keep(picture: Image.Image, name: str) -> None:
    """Keep a picture small, without the time at which it was made."""
    few = picture.convert("RGB").quantize(_COLOURS, kmeans=2, dither=Image.Dither.NONE)
    few.save(PICTURES / name, optimize=True)


if __name__ == "__main__":
    main()
