"""The sentences of reasons: nothing that is doubted is called in limits in the same breath."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from brakelog.reports.language.language import language_named
from brakelog.reports.plain_reasons import _key_of
from brakelog.rules.judgement import Outcome
from brakelog.rules.verdict import Because


@pytest.mark.parametrize(("code", "words"), [("en", "in limits today"), ("de", "heute zulässig")])
@pytest.mark.parametrize("because", [Because.WILL_NOT_LAST, Because.WILL_NOT_OUTLAST_PADS])
def test_only_what_is_proven_is_said_to_be_in_limits_today(
    because: Because, code: str, words: str
) -> None:
    language = language_named(code)
    for outcome in Outcome:
        reason: Any = SimpleNamespace(because=because, judgement=SimpleNamespace(outcome=outcome))
        said = language.say(f"reason.{_key_of(cast(Any, None), reason)}", subject="Left front")
        assert (words in said) is (outcome is Outcome.IN)
