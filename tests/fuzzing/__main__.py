"""A long run guided by coverage, outside CI: `pip install atheris`, then

    python -m tests.fuzzing plan --minutes 60
    python -m tests.fuzzing rules --minutes 60 --to FOLDER

Inputs are grown from the kept corpus and from the checkout's own plans or rule files. Whatever breaks a promise
(`promises.py`), or takes too long, is written to FOLDER with its traceback, the smallest input for each place, and the run
goes on; the exit status is 1 where there is any. The corpus that has grown stays in FOLDER for the next run, and `--keep`
puts the fewest small files of it that reach as much into tests/fuzzing/corpus.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import time
from pathlib import Path

from .keeping import keep
from .promises import PROMISES, SLOWEST
from .seeds import ROOT, pieces, words

LONGEST = 1500
"""Bytes: a whole plan is read several times more slowly, and reaches little that its pieces do not."""


def run(kind: str, seconds: int, folder: Path) -> int:
    """Tries inputs for so long and returns how many were tried."""
    corpus, faults = folder / kind / "corpus", folder / kind / "faults"
    for each in (corpus, faults):
        each.mkdir(parents=True, exist_ok=True)
    for number, piece in enumerate(pieces(kind)):
        (corpus / f"seed-{number}").write_bytes(piece)
    dictionary = folder / kind / "words"
    dictionary.write_text("".join(f'"{_escaped(word)}"\n' for word in words(kind)), "utf-8")
    ends = time.monotonic() + seconds
    tried = 0
    while (left := int(ends - time.monotonic())) > 0:
        options = [f"-max_total_time={left}", f"-max_len={LONGEST}", f"-timeout={2 * SLOWEST:.0f}", f"-dict={dictionary}"]
        command = [sys.executable, "-m", "tests.fuzzing.guided", kind, str(faults), str(corpus), *options]
        command += [f"-artifact_prefix={faults}/", "-print_final_stats=1", "-rss_limit_mb=2048"]
        done = subprocess.run(command, cwd=ROOT, stderr=subprocess.PIPE, check=False, text=True, errors="replace")
        counts = re.findall(r"number_of_executed_units: (\d+)|^#(\d+)\t", done.stderr, re.MULTILINE)
        count = max((int(number) for pair in counts for number in pair if number), default=0)
        tried += count
        (folder / kind / "log").write_text(done.stderr, "utf-8")
        if count == 0:
            raise SystemExit(f"nothing could be tried:\n{done.stderr[-2000:]}")
    return tried


def _escaped(word: str) -> str:
    return "".join(chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\' else f"\\x{byte:02X}" for byte in word.encode())


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzzing", description="A long run guided by coverage.")
    parser.add_argument("kind", choices=list(PROMISES))
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--to", type=Path, default=Path("fuzzing"), metavar="FOLDER", help="where corpus and faults go")
    parser.add_argument("--keep", action="store_true", help="put the best small files of the grown corpus into the checkout")
    call = parser.parse_args()
    folder = call.to.resolve()
    tried = run(call.kind, int(call.minutes * 60), folder)
    corpus, faults = (
        folder / call.kind / "corpus",
        sorted(each for each in (folder / call.kind / "faults").iterdir() if each.suffix != ".txt"),
    )
    print(f"{tried:,} inputs tried, {len(list(corpus.iterdir())):,} of them kept for what they reach, {len(faults)} faults")
    for fault in faults:
        print(fault)
    if call.keep:
        print(f"{keep(call.kind, corpus)} files kept in the checkout")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
