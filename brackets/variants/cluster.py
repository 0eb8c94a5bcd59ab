"""The rows of a family handed to a Dask scheduler, whose workers are on any machines that have this program."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from brackets.core.errors import InputError
from brackets.core.units import shown

WAITED = 15.0
"""Seconds that a scheduler is waited for."""


@contextmanager
def executor_of(address: str) -> Iterator[Executor]:
    """The executor of the scheduler at an address, tcp://host:8786.

    Raises InputError where nothing answers there, or where the package `distributed` is not installed.
    """
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise InputError(
            f"cluster = {shown(address)}, needs Dask: pip install 'mountwright[cluster]', here and on every worker"
        ) from None
    try:
        client = distributed.Client(address, timeout=WAITED)
    except (OSError, ValueError, TimeoutError) as error:
        raise InputError(f"cluster = {shown(address)}, no scheduler answers there: {error}") from None
    try:
        executor: Executor = client.get_executor()
        yield executor
    finally:
        client.close()
