"""What was worked out, kept by the content of what it was worked out from, up to a budget of memory."""

from __future__ import annotations

import dataclasses
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

T = TypeVar("T")

ENTRY_BYTES = 4096
"""What an entry counts for besides its arrays."""

_PLAIN = (str, int, float, type(None))


def arrays_in(value: Any) -> dict[int, int]:
    """The arrays that a result holds, each once, views as what they look into: identity and bytes."""
    return {id(array): array.nbytes for array in _walk(value, set())}


def _walk(part: Any, seen: set[int]) -> Iterator[NDArray[Any]]:
    if isinstance(part, _PLAIN) or id(part) in seen:
        return
    seen.add(id(part))
    if isinstance(part, np.ndarray):
        if isinstance(part.base, np.ndarray):
            yield from _walk(part.base, seen)
        else:
            yield part
        return
    for inner in _parts(part):
        yield from _walk(inner, seen)


def _parts(part: Any) -> Iterator[Any]:
    if dataclasses.is_dataclass(part) and not isinstance(part, type):
        yield from (getattr(part, each.name) for each in dataclasses.fields(part))
    elif isinstance(part, Mapping):
        yield from part.values()
    elif isinstance(part, tuple | list | frozenset | set):
        yield from part
    else:
        slots = [name for kind in type(part).__mro__ for name in getattr(kind, "__slots__", ())]
        yield from (getattr(part, name, None) for name in slots if not name.startswith("__"))


class Store:
    """Results by key; the least recently used go first when their arrays hold more than the budget.

    An array that several results share counts once. One lock round the dictionary and none round the work: two threads
    that want the same at the same time both work it out, and get equal results.
    """

    def __init__(self, budget_bytes: int) -> None:
        self.budget_bytes = budget_bytes
        self._lock = threading.Lock()
        self._held: OrderedDict[Hashable, tuple[Any, dict[int, int]]] = OrderedDict()
        self._holders: dict[int, int] = {}
        self._bytes = 0

    @property
    def held_bytes(self) -> int:
        """Bytes of all that is held."""
        return self._bytes

    def __len__(self) -> int:
        return len(self._held)

    def holds(self, key: Hashable) -> bool:
        """Whether something is kept under the key."""
        with self._lock:
            return key in self._held

    def get(
        self,
        key: Hashable,
        work: Callable[[], T],
        *,
        has_arrays: bool = True,
        array_parts: Callable[[T], Any] | None = None,
    ) -> T:
        """The result kept under the key, or else what `work` gives, kept from now on.

        has_arrays: looked through for arrays; a result without any counts for its entry alone. array_parts: the parts
        of a result that hold arrays, where looking through all of it would take too long. Errors of `work` pass
        through, and nothing is kept then. A result larger than the whole budget is not kept.
        """
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return cast("T", self._held[key][0])
        result = work()
        arrays = arrays_in(array_parts(result) if array_parts else result) if has_arrays else {}
        with self._lock:
            if key not in self._held and ENTRY_BYTES + sum(arrays.values()) <= self.budget_bytes:
                self._keep(key, result, arrays)
        return result

    def _keep(self, key: Hashable, result: Any, arrays: dict[int, int]) -> None:
        self._held[key] = (result, arrays)
        self._bytes += ENTRY_BYTES
        for array, size in arrays.items():
            self._holders[array] = self._holders.get(array, 0) + 1
            if self._holders[array] == 1:
                self._bytes += size
        while self._bytes > self.budget_bytes:
            self._drop_oldest()

    def _drop_oldest(self) -> None:
        _, (_, arrays) = self._held.popitem(last=False)
        self._bytes -= ENTRY_BYTES
        for array, size in arrays.items():
            self._holders[array] -= 1
            if not self._holders[array]:
                del self._holders[array]
                self._bytes -= size
