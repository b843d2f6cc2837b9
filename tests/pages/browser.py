"""A browser that is driven: it opens pages, listens to what they complain of, and prints them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import pdfplumber
from playwright.sync_api import Browser, Page, sync_playwright

from tests.pages.chromium import browser_path

POINTS_PER_MM = 72 / 25.4
PHONE = (360, 780)
"""Width and height of a small phone. [px]"""


@contextmanager
def opened_browser() -> Iterator[Browser]:
    """Start the browser of this machine without a window."""
    path = browser_path()
    assert path is not None
    with sync_playwright() as driver:
        # Tests may run as root, whom the sandbox does not serve.
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


@dataclass
class Opened:
    """One page that is open."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    """What it said on the console, what failed in it, and what it asked the network for."""

    def printed(self, target: Path, paper: str) -> Paper:
        """Print it as a person does who changes nothing in the dialogue but the paper."""
        self.page.pdf(path=target, format=paper)
        return Paper(target)

    def faults(self) -> list[dict[str, Any]]:
        """Return what axe finds against the rules for people who see, hear or move otherwise."""
        script = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
        self.page.evaluate(script)
        # Only of what is wrong is it told in full where it stands, which takes most of the time.
        found: dict[str, Any] = self.page.evaluate("axe.run({resultTypes: ['violations']})")
        return [
            {"rule": each["id"], "impact": each["impact"], "at": each["nodes"][0]["html"]}
            for each in found["violations"]
        ]


@contextmanager
def opened_page(
    browser: Browser, file: Path, *, width: int = 1100, height: int = 900
) -> Iterator[Opened]:
    """Open a file with the network cut off."""
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    opened = Opened(page=page)
    page.on("console", lambda message: opened.complaints.append(message.text))
    page.on("pageerror", lambda error: opened.complaints.append(str(error)))
    page.on(
        "request",
        lambda asked: (
            None
            if asked.url.startswith(("file:", "data:"))
            else opened.complaints.append(asked.url)
        ),
    )
    page.goto(file.resolve().as_uri())
    yield opened
    context.close()


@dataclass(frozen=True)
class Rectangle:
    """A filled rectangle on paper. [mm]"""

    x: float
    y: float
    width: float
    height: float
    colour: tuple[float, ...]


@dataclass(frozen=True)
class Paper:
    """What came out of the printer."""

    file: Path

    def sheets(self) -> int:
        """How many sheets it took."""
        with pdfplumber.open(self.file) as pdf:
            return len(pdf.pages)

    def text(self) -> str:
        """What stands on the sheets."""
        with pdfplumber.open(self.file) as pdf:
            return "\n".join(page.extract_text() for page in pdf.pages)

    def rectangles(self) -> list[Rectangle]:
        """Return the filled rectangles of the first sheet."""
        with pdfplumber.open(self.file) as pdf:
            return [
                Rectangle(
                    x=float(each["x0"]) / POINTS_PER_MM,
                    y=float(each["top"]) / POINTS_PER_MM,
                    width=float(each["width"]) / POINTS_PER_MM,
                    height=float(each["height"]) / POINTS_PER_MM,
                    colour=tuple(round(float(part), 2) for part in each["non_stroking_color"]),
                )
                for each in pdf.pages[0].rects
                if each["fill"]
            ]
