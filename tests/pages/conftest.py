from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.pages.browser import opened_browser
from tests.pages.chromium import need_chromium
from tests.pages.customer_pages import sample_pages


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all pages."""
    need_chromium()
    with opened_browser() as started:
        yield started


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The page of every vehicle of the sample workshop, by its tag."""
    return sample_pages(tmp_path_factory.mktemp("pages"))
