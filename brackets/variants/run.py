"""Works the rows of a family out: those that are not kept, in batches, here or on an executor's workers."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Executor, Future, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace

from brackets.core.errors import InputError
from brackets.core.schema.rule import Plain
from brackets.variants import job as jobs
from brackets.variants.job import Job
from brackets.variants.result import Result
from brackets.variants.store import Store
from brackets.variants.workers import Workers, ended

BATCH = 2.0
"""Seconds of work that rows are sent in at once: what a row costs to send is a thousandth of it."""

SHORT = 0.1
"""Seconds of work in this process that are kept at once: what ending it may cost."""

LARGEST = 1000
"""Rows of a batch at most."""

AHEAD = 2
"""Batches in hand for each worker: one that it is at, one that waits."""

UNKNOWN = 8
"""Workers that an executor is taken to have which does not say."""

TOLD = 0.2
"""Seconds between two words of progress."""

RETRIED = 3
"""Times a batch is handed out again whose result an executor lost."""

LOST = (CancelledError, TypeError)
"""How an executor that is not ours says so: called off; or, of Dask's, that a result which came just as its worker
ended cannot be unpacked."""

Values = Mapping[str, Plain]


@dataclass
class Batch:
    """Keys and values of some rows; `alone` where one of them ended its worker, and each is now tried by itself;
    `carried`: the files go with them to a worker that has them not."""

    rows: list[tuple[str, Values]]
    alone: bool = False
    tries: int = 0
    carried: bool = False


class Progress:
    """Says how many rows are done, how many a second, and the time left."""

    def __init__(self, count: int, say: Callable[[str], None]) -> None:
        self.count, self.say, self.done = count, say, 0
        self.started = self.told = time.monotonic()

    def add(self, rows: int) -> None:
        self.done += rows
        now = time.monotonic()
        if now - self.told > TOLD:
            self.told = now
            rate = self.done / (now - self.started)
            left = f", {rate:.3g} a second, {duration((self.count - self.done) / rate)} left" if rate else ""
            self.say(f"{self.done} of {self.count} rows{left}")


def duration(seconds: float) -> str:
    """ "45 s", "12 min", "3 h 20 min"."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60} min"


def run(
    job: Job,
    rows: Mapping[str, Values],
    store: Store,
    *,
    executor: Executor | None = None,
    workers: int = 0,
    limit: float | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> dict[str, Result]:
    """Works out every row, by key, that the store has not got, and keeps it there; what failed, by key.

    executor: any of `concurrent.futures`; without one `workers` processes of this machine, or this process where 0.
    limit: seconds a row may take on our own workers. Raises InputError where a worker runs another program or a
    file changed, OSError where the disk is full: what is done by then is kept.
    """
    todo = [(key, values) for key, values in rows.items() if key not in store]
    progress = Progress(len(todo), say)
    if not todo:
        return {}
    if executor is None and workers < 1:
        _here(job, todo, store, progress)
        return {}
    if executor is not None:
        return _Sent(job, store, executor, progress, count=workers, limit=None).all(todo)
    with _own(min(workers, len(todo)), limit, job) as mine:
        return _Sent(job, store, mine, progress, count=workers, limit=limit).all(todo)


def _here(job: Job, todo: Sequence[tuple[str, Values]], store: Store, progress: Progress) -> None:
    """Works every row out in this process, and keeps those of SHORT seconds at once."""
    at, size = 0, 1
    while at < len(todo):
        batch = todo[at : at + size]
        seconds = _take(jobs.work(job, [values for _, values in batch]), [key for key, _ in batch], store)
        progress.add(len(batch))
        at += len(batch)
        size = _size(SHORT, seconds, len(batch), size)


def _size(wanted: float, seconds: float, rows: int, last: int) -> int:
    """Rows of the next batch, which is to take the seconds that are wanted."""
    each = max(seconds / rows, 1e-6)
    return max(1, min(int(wanted / each), LARGEST, 4 * last))


@contextmanager
def _own(count: int, limit: float | None, job: Job) -> Iterator[Workers]:
    """Our own workers; all of them end with the block, at once where it fails."""
    mine = Workers(count, limit=limit, bay=bool(job.part))
    try:
        yield mine
    except BaseException:
        mine.shutdown(cancel_futures=True)
        raise
    mine.finish()


def _take(answer: object, keys: Sequence[str], store: Store) -> float:
    """Keeps the results of a batch; the seconds it took."""
    if isinstance(answer, jobs.OtherProgram):
        raise InputError(f"worker = {answer.says}, must be the program that was started here: {jobs.program()}")
    if not isinstance(answer, jobs.Done):
        raise jobs.Changed("an input file")
    for key, text in zip(keys, answer.texts, strict=True):
        store.add(key, text)
    return answer.seconds


class _Sent:
    """Batches in the hands of an executor."""

    def __init__(
        self, job: Job, store: Store, executor: Executor, progress: Progress, *, count: int, limit: float | None
    ) -> None:
        self.job, self.store, self.executor, self.progress, self.limit = job, store, executor, progress, limit
        own = getattr(executor, "_max_workers", None)
        self.ahead = AHEAD * (count or (own if isinstance(own, int) and own > 0 else UNKNOWN))
        self.begun = not (job.part and isinstance(executor, Workers))
        """Whether a row is back: our workers then find what all rows of a bay share, its files above all, as the
        first one kept it, in place of each working it out at the same time."""
        self.contents: dict[str, bytes] | None = None
        self.again: deque[Batch] = deque()
        self.size = 1
        self.failed: dict[str, Result] = {}

    def all(self, todo: Sequence[tuple[str, Values]]) -> dict[str, Result]:
        """Hands everything out and takes it back; what failed."""
        rest = deque(todo)
        out: dict[Future[object], Batch] = {}
        try:
            while rest or self.again or out:
                while len(out) < (self.ahead if self.begun else 1) and (rest or self.again):
                    batch = self.again.popleft() if self.again else self._next(rest, len(out))
                    out[self._submit(batch)] = batch
                done, _ = wait(out, timeout=TOLD, return_when=FIRST_COMPLETED)
                self.progress.add(0)
                for future in done:
                    self._back(future, out.pop(future))
                    self.begun = True
        finally:
            for future in out:
                future.cancel()
        return self.failed

    def _next(self, rest: deque[tuple[str, Values]], in_hand: int) -> Batch:
        """The next rows: BATCH seconds of them, fewer towards the end so that all workers end together."""
        fair = max(1, len(rest) // max(self.ahead - in_hand, 1))
        return Batch([rest.popleft() for _ in range(min(self.size, fair, len(rest)))])

    def _submit(self, batch: Batch) -> Future[object]:
        values = [dict(values) for _, values in batch.rows]
        files = self._contents() if batch.carried else None
        if isinstance(self.executor, Workers):
            return self.executor.within(self._limit(batch), jobs.work, self.job, values, files)
        return self.executor.submit(jobs.work, self.job, values, files)

    def _contents(self) -> dict[str, bytes]:
        if self.contents is None:
            self.contents = jobs.contents(self.job)
        return self.contents

    def _limit(self, batch: Batch) -> float | None:
        """A row may take the limit, a batch as much over the time it was made for."""
        if self.limit is None:
            return None
        return self.limit if len(batch.rows) == 1 else self.limit + BATCH

    def _back(self, future: Future[object], batch: Batch) -> None:
        keys = [key for key, _ in batch.rows]
        error = CancelledError() if future.cancelled() else future.exception()
        if error is not None:
            self._lost(batch, error)
            return
        answer = future.result()
        if isinstance(answer, jobs.Missing):
            self.again.append(replace(batch, carried=True))
            return
        seconds = _take(answer, keys, self.store)
        if not batch.alone:
            self.size = _size(BATCH, seconds, len(keys), self.size)
        self.progress.add(len(keys))

    def _lost(self, batch: Batch, error: BaseException) -> None:
        """A batch that came to nothing: its rows are tried each alone, and one that fails alone is named."""
        if isinstance(error, jobs.Changed):
            raise error
        if isinstance(error, BrokenExecutor):
            raise InputError(f"executor = broken ({error}), must work; what is done is kept") from error
        ours = isinstance(self.executor, Workers)
        if isinstance(error, ImportError) and not ours:
            raise InputError(f"worker = {error}, must be one that has this program: {jobs.program()}") from error
        if isinstance(error, CancelledError if ours else LOST) and batch.tries < RETRIED:
            self.again.append(replace(batch, tries=batch.tries + 1))
        elif len(batch.rows) > 1:
            self.again.extend(Batch([row], alone=True) for row in batch.rows)
        else:
            self.failed[batch.rows[0][0]] = {"failed": ended(error, self.limit)}
            self.progress.add(1)
