"""Closed sets whose members are the keys of many dictionaries."""

from __future__ import annotations

import enum


class Member(enum.Enum):
    """A closed set; what it has beyond ``enum.Enum`` is that its members are quick to look up.

    There is one object for each member, so that its identity tells it from the others. The
    library hashes the name instead, in Python: judging a vehicle would do that some thousand times.
    """

    __hash__ = object.__hash__
