"""Send hostile input to one reader, led by what it covers: run by hand, and shortly by the tests.

    python tests/hostile/fuzz.py lengths --runs 1000000
    python tests/hostile/fuzz.py sheets --seconds 60

A traceback, a case of a minute, or more than two gigabytes of memory ends the run with
the input that did it. The last line says how many cases were run.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from functools import cache
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.hostile.targets import NAMES, target  # noqa: E402

LONGEST_CASE_S = 60
"""No reader takes a second for some kilobytes; a machine with much else to do may. [s]"""
MOST_MEMORY_MB = 2_048
"""Ten times of what the readers take, with the instruments of the coverage."""
LONGEST_INPUT = {"lengths": 160, "lines": 320, "sheets": 2_048, "packs": 4_096, "stores": 512}
"""Bytes of one case; the sizes beyond are for tests of their own."""


def main() -> None:
    """Run the cases."""
    import atheris

    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("target", choices=NAMES)
    parser.add_argument("--runs", type=int, default=-1, help="how many cases")
    parser.add_argument("--seconds", type=int, default=0, help="for how long")
    parser.add_argument("--seed", type=int, default=0, help="0 for another each time")
    asked = parser.parse_args()

    if asked.target == "stores":
        # The instruments keep what is compared for ever, and a statement is made by comparing
        # columns: what makes statements is loaded without them, or memory runs out.
        import_module("brakelog.store.store")
    with atheris.instrument_imports(include=["brakelog", "tomllib"], enable_loader_override=False):
        sent_to = target(asked.target)
    if asked.target == "stores":
        # Every case lies at one path, and an engine only says how to connect to it: without a new
        # one the statements are made once and not for every case.
        opening = vars(import_module("brakelog.store.opening"))
        opening["make_engine"] = cache(opening["make_engine"])
    folder = Path(tempfile.mkdtemp(prefix=f"hostile-{asked.target}-"))
    examples = folder / "examples"
    examples.mkdir()
    for number, seed in enumerate(sent_to.seeds()):
        (examples / f"{number:04}").write_bytes(seed)
    words = folder / "words"
    words.write_text("".join(f'"{_as_entry(word)}"\n' for word in sent_to.WORDS), encoding="ascii")
    atheris.Setup(
        [
            sys.argv[0],
            f"-runs={asked.runs}",
            f"-max_total_time={asked.seconds}",
            f"-seed={asked.seed}",
            f"-max_len={LONGEST_INPUT[asked.target]}",
            f"-timeout={LONGEST_CASE_S}",
            f"-rss_limit_mb={MOST_MEMORY_MB}",
            f"-dict={words}",
            f"-artifact_prefix={folder}/",
            "-print_final_stats=1",
            "-use_value_profile=0",
            str(examples),
        ],
        sent_to.check,
    )
    atheris.Fuzz()


def _as_entry(word: str) -> str:
    """Return a word as the dictionary of the fuzzer wants it."""
    return "".join(f"\\x{byte:02x}" for byte in word.encode("utf-8", "surrogateescape"))


if __name__ == "__main__":
    main()
