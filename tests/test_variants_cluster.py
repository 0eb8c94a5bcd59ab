"""A family handed to Dask: a real scheduler and two workers in processes of their own, one of them killed."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

import brackets
from brackets.variants.cluster import executor_of

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="kills a process by a POSIX signal"),
    pytest.mark.skipif(
        find_spec("distributed") is None, reason="Dask is not installed: pip install 'mountwright[cluster]'"
    ),
]

VARIED = {"bush_od": range(40, 60), "length": range(40, 60)}
"""400 cups."""


class Cluster:
    """A scheduler and two workers, each a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.file, self.folder = folder / "scheduler.json", folder
        self.ran = [self.start("scheduler", "--port", "0", "--no-dashboard", "--host", "127.0.0.1")]
        self.workers = [self.worker(), self.worker()]

    def worker(self) -> subprocess.Popen[bytes]:
        started = self.start("worker", "--nthreads", "1", "--no-nanny", "--no-dashboard")
        self.ran.append(started)
        return started

    def start(self, what: str, *options: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "dask", what, "--scheduler-file", str(self.file), *options]
        with (self.folder / "log.txt").open("ab") as log:
            return subprocess.Popen(command, cwd=self.folder, stdout=log, stderr=log)

    @property
    def address(self) -> str:
        import json

        until = time.monotonic() + 120
        while time.monotonic() < until:
            with contextlib.suppress(OSError, ValueError, KeyError):
                return str(json.loads(self.file.read_text())["address"])
            time.sleep(0.1)
        raise AssertionError((self.folder / "log.txt").read_text())

    def end(self) -> None:
        for each in self.ran:
            with contextlib.suppress(ProcessLookupError):
                each.kill()
            each.wait()


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    made = Cluster(tmp_path_factory.mktemp("dask"))
    try:
        yield made
    finally:
        made.end()


def test_two_workers_one_killed_half_way_say_what_this_process_says(cluster: Cluster, tmp_path: Path) -> None:
    alone = brackets.family("cup", **VARIED)
    told: list[str] = []

    def say(text: str) -> None:
        told.append(text)
        victim = cluster.workers[0]
        if " of 400 rows" in text and not text.startswith("0 ") and victim.poll() is None:
            os.kill(victim.pid, signal.SIGKILL)

    with executor_of(cluster.address) as executor:
        sent = brackets.family("cup", executor=executor, say=say, **VARIED)
    assert cluster.workers[0].wait() == -signal.SIGKILL
    alone.csv(tmp_path / "alone.csv")
    sent.csv(tmp_path / "sent.csv")
    assert not sent.failed
    assert (tmp_path / "alone.csv").read_bytes() == (tmp_path / "sent.csv").read_bytes()
