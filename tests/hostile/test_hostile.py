"""Anything at all sent to the five readers: a sentence, or what was typed; never a traceback.

``fuzz.py`` beside this file sends a million cases to each by hand.
"""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.hostile.targets import NAMES, target

ROOT = Path(__file__).resolve().parents[2]
SECONDS = os.environ.get("BRAKELOG_FUZZ_SECONDS") or "4"
"""For how long each reader is fuzzed here; ``.ci/run`` does it for a minute each as well. [s]"""
EXAMPLES = {"lengths": 1_000, "lines": 300, "sheets": 300, "packs": 300, "stores": 100}
"""A few seconds of each."""


@cache
def _seeds(name: str) -> list[bytes]:
    return target(name).seeds()


@cache
def _words(name: str) -> list[bytes]:
    return [word.encode("utf-8", "surrogateescape") for word in target(name).WORDS]


@st.composite
def _spoilt(draw: st.DrawFn, name: str) -> bytes:
    """A real example with a few words and bytes put into it, over it, or cut out of it."""
    content = draw(st.sampled_from(_seeds(name)))
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(content)))
        until = at + draw(st.sampled_from((0, 0, 1, 2, 7, 100)))
        word = draw(st.sampled_from(_words(name)) | st.binary(max_size=8))
        content = content[:at] + word + content[until:]
    return content


@pytest.mark.parametrize("name", NAMES)
def test_real_examples_and_what_once_broke_a_reader_are_read_or_refused(name: str) -> None:
    for seed in _seeds(name):
        target(name).check(seed)


@pytest.mark.parametrize("name", NAMES)
def test_whatever_is_sent_is_refused_in_a_sentence_or_kept_as_typed(name: str) -> None:
    @settings(
        max_examples=EXAMPLES[name],
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(data=_spoilt(name) | st.binary(max_size=600))
    def holds(data: bytes) -> None:
        target(name).check(data)

    holds()


@pytest.mark.skipif(find_spec("atheris") is None, reason="atheris is there for Linux only")
@pytest.mark.parametrize("name", NAMES)
def test_cases_that_are_led_by_coverage_find_no_fault(name: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "tests/hostile/fuzz.py"), name, "--seconds", SECONDS],
        capture_output=True,
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(tmp_path)},
        check=False,
    )
    said = done.stderr.decode("utf-8", "replace")
    assert done.returncode == 0, said[-4_000:]
    assert "Done " in said
