"""The last few of what was made, by key: where there are more, the one that was longest not asked for goes."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Recent(Generic[K, V]):
    """At most `most` values, 1 or more, each remembered under a key."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._held: OrderedDict[K, V] = OrderedDict()

    def __len__(self) -> int:
        return len(self._held)

    def __contains__(self, key: K) -> bool:
        return key in self._held

    def get(self, key: K) -> V | None:
        """What is remembered under a key; None where nothing is."""
        if key in self._held:
            self._held.move_to_end(key)
        return self._held.get(key)

    def put(self, key: K, value: V) -> V:
        """Remembers a value under a key in place of what was there; the value."""
        self._held[key] = value
        self._held.move_to_end(key)
        while len(self._held) > self.most:
            self._held.popitem(last=False)
        return value

    def made(self, key: K, make: Callable[[], V]) -> V:
        """What is remembered under a key; where nothing is, what `make` gives, remembered from now on."""
        if key not in self._held:
            return self.put(key, make())
        self._held.move_to_end(key)
        return self._held[key]

    def clear(self) -> None:
        self._held.clear()
