"""How long `brackets --help` takes beside a bare typer program: prints both and their ratio; wanted 1.3 or less.

Run by hand: python tests/bench/bench_help.py. Runs are taken in turn and the middle of the pairs' ratios counts:
what else the machine does falls on both alike.
"""

from __future__ import annotations

import subprocess
import sys
import time
from statistics import median

RUNS = 25
WANTED = 1.3

BARE = """
import sys, typer
app = typer.Typer(name="bare", add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
@app.command()
def one(name: str = "", as_json: bool = False) -> None:
    "First."
@app.command()
def two(name: str = "", as_json: bool = False) -> None:
    "Second."
sys.argv = ["bare", "--help"]
app()
"""
OURS = "import sys; from brackets.app.cli import main; sys.exit(main(['--help']))"


def seconds(script: str) -> float:
    """How long a fresh interpreter takes to run the script, s."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", script], check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> int:
    pairs = [(seconds(BARE), seconds(OURS)) for _ in range(RUNS)]
    bare, ours = (median(pair[i] for pair in pairs) for i in (0, 1))
    ratio = median(ours / bare for bare, ours in pairs)
    times = f"bare typer --help {bare * 1e3:.0f} ms, brackets --help {ours * 1e3:.0f} ms"
    print(f"{times}, ratio {ratio:.2f} (wanted {WANTED})")
    return 0 if ratio <= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())
