"""How long the customer's page takes: one as a whole process, and a thousand in one run.

Run by hand: ``python tests/bench/summary.py [pages]``. Prints

- one page with its pictures as a whole process, over a bare matplotlib program that writes one
  SVG figure (aim: at most 3), and the same for a page without pictures;
- pages in one second of processor time, without pictures (aim: at least 20) and with (aim: at
  least 4), the start of the program included;
- the largest memory of a run of all pages over that of a run of a tenth of them (aim: about 1).

The runs of one ratio alternate, and the best of each is taken.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from brakelog.store.opening import open_store
from tests.bench.whole_store import fill

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 7
_BARE = """
import sys
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

figure = Figure(figsize=(4, 3))
FigureCanvasSVG(figure)
figure.add_subplot().plot([0, 20, 40], [8.3, 5.7, 3.0])
figure.savefig(sys.argv[1])
"""
_PROGRAM = """
import resource, sys
from brakelog.cli.start import main
try:
    main()
finally:
    used = resource.getrusage(resource.RUSAGE_SELF)
    sys.stderr.write(f"{used.ru_utime + used.ru_stime} {used.ru_maxrss}")
"""


def seconds(*words: str, folder: Path) -> tuple[float, str]:
    """Run one program; return its wall time [s] and what it said on standard error."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", *words],
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin", "HOME": str(folder)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return time.perf_counter() - start, done.stderr


def one_page(store: Path, folder: Path) -> tuple[float, float]:
    """Return one page as a whole process over the bare program: with pictures, and without."""
    page = (_PROGRAM, "--store", str(store), "summary", "CAR-7", "--replace")
    best: dict[str, float] = {}
    for _ in range(ROUNDS):
        for name, words in (
            ("bare", (_BARE, "bare.svg")),
            ("with", page),
            ("without", (*page, "--no-pictures")),
        ):
            took, _ = seconds(*words, folder=folder)
            best[name] = min(took, best.get(name, took))
    return best["with"] / best["bare"], best["without"] / best["bare"]


def many_pages(store: Path, folder: Path, *more: str) -> tuple[float, int]:
    """Return the processor time of a run over all vehicles [s], and its largest memory."""
    pages = folder / "pages"
    shutil.rmtree(pages, ignore_errors=True)
    words = (_PROGRAM, "--store", str(store), "summary", "--all", str(pages), *more)
    _, used = seconds(*words, folder=folder)
    processor_s, memory = used.split()
    return float(processor_s), int(memory)


def filled(folder: Path, vehicles: int) -> Path:
    """Return a store with so many vehicles of ten visits each."""
    path = folder / f"{vehicles}.sqlite"
    with open_store(path) as store:
        fill(store, vehicles)
    return path


def main() -> None:
    """Print the ratios and figures."""
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        small, large = filled(folder, pages // 10), filled(folder, pages)
        drawn, plain = one_page(small, folder)
        print(f"one page, over a bare program that draws one figure: {drawn:.2f} times")
        print(f"one page without pictures, over the same: {plain:.2f} times")
        memory = {}
        for path, count in ((small, pages // 10), (large, pages)):
            for what, more in (("without pictures", ("--no-pictures",)), ("with", ())):
                took, memory[count, what] = many_pages(path, folder, *more)
                print(f"{count} pages {what}: {count / took:.1f} a second")
        for what in ("without pictures", "with"):
            ratio = memory[pages, what] / memory[pages // 10, what]
            print(f"memory of {pages} pages {what}, over a tenth of them: {ratio:.2f}")


if __name__ == "__main__":
    main()
