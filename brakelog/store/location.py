"""Where the store is when nobody says otherwise."""

from __future__ import annotations

from pathlib import Path


def default_store_path() -> Path:
    """Return the file in the user's own data folder."""
    from platformdirs import user_data_dir

    return Path(user_data_dir("brakelog", appauthor=False)) / "store.sqlite"
