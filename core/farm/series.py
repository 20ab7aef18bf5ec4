"""Sequences and mappings that are never changed, of which the next version costs little and shares the rest.

A farm of years has thousands of readings and tubs. Each message makes the next farm, and older ones are kept to go on
from where something is told late: copying all of it each time would be the most of the work.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Self, TypeVar, overload

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)

CHUNK = 128  # so many are copied at the most to add one more


class Series(Sequence[T_co]):
    """A sequence that can be added to; equal to any other of the same items."""

    __slots__ = ("_chunks", "_length", "_tail")

    def __init__(self, items: Iterable[T_co] = ()) -> None:
        self._chunks: tuple[tuple[T_co, ...], ...] = ()  # of CHUNK items each
        self._tail: tuple[T_co, ...] = ()  # fewer
        self._length = 0
        self._take(tuple(items))

    def extended(self, items: Iterable[T_co]) -> Self:
        """Give the series with more items at its end."""
        found = self.__class__.__new__(self.__class__)
        found._chunks, found._tail, found._length = self._chunks, self._tail, self._length  # noqa: SLF001 - one of us
        found._take(tuple(items))  # noqa: SLF001 - one of us
        return found

    def _take(self, items: tuple[T_co, ...]) -> None:
        tail = self._tail + items
        full = len(tail) // CHUNK * CHUNK
        self._chunks += tuple(tail[at : at + CHUNK] for at in range(0, full, CHUNK))
        self._tail = tail[full:]
        self._length += len(items)

    @overload
    def __getitem__(self, at: int) -> T_co: ...

    @overload
    def __getitem__(self, at: slice) -> tuple[T_co, ...]: ...

    def __getitem__(self, at: int | slice) -> T_co | tuple[T_co, ...]:
        """Give an item, or several as a tuple."""
        if isinstance(at, slice):
            return self._several(at)
        index = at + self._length if at < 0 else at
        if not 0 <= index < self._length:
            raise IndexError(at)
        chunk, place = divmod(index, CHUNK)
        return self._chunks[chunk][place] if chunk < len(self._chunks) else self._tail[place]

    def _several(self, at: slice) -> tuple[T_co, ...]:
        start, stop, step = at.indices(self._length)
        if step != 1:
            return tuple(self)[at]
        first, last = start // CHUNK, stop // CHUNK
        parts = chain.from_iterable((*self._chunks[first : last + 1], self._tail))
        return tuple(parts)[start - first * CHUNK : stop - first * CHUNK] if start < stop else ()

    def __len__(self) -> int:
        return self._length

    def __iter__(self) -> Iterator[T_co]:
        return chain(chain.from_iterable(self._chunks), self._tail)

    def __reversed__(self) -> Iterator[T_co]:
        return chain(reversed(self._tail), chain.from_iterable(reversed(chunk) for chunk in reversed(self._chunks)))

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Series):
            return self._tail == other._tail and self._chunks == other._chunks
        return NotImplemented

    def __hash__(self) -> int:
        return hash((self._length, self._tail))

    def __repr__(self) -> str:
        return f"{self.__class__.__name__}({list(self)!r})"


class Layers(Mapping[str, T]):
    """A mapping by name, in the order in which the names came; what is added later lies over what is there.

    Of two layers the older one is more than twice as long as the newer, so that there are few to look through.
    """

    __slots__ = ("_layers", "_length")

    def __init__(self, known: Mapping[str, T] | None = None) -> None:
        self._layers: tuple[dict[str, T], ...] = (dict(known),) if known else ()  # the oldest first
        self._length = len(known) if known else 0

    def with_changes(self, changes: Mapping[str, T]) -> Self:
        """Give the mapping with these names new or changed."""
        found = self.__class__.__new__(self.__class__)
        layers, top = list(self._layers), dict(changes)
        while layers and len(layers[-1]) <= 2 * len(top):
            top = layers.pop() | top
        found._layers = (*layers, top) if top else tuple(layers)  # noqa: SLF001 - one of us
        found._length = self._length + sum(name not in self for name in changes)  # noqa: SLF001 - one of us
        return found

    def find(self, name: str) -> T | None:
        """Give what has a name, where there is something."""
        for layer in reversed(self._layers):
            if name in layer:
                return layer[name]
        return None

    def __getitem__(self, name: str) -> T:
        found = self.find(name)
        if found is None:
            raise KeyError(name)
        return found

    def __contains__(self, name: object) -> bool:
        return any(name in layer for layer in self._layers)

    def __iter__(self) -> Iterator[str]:
        return iter(dict.fromkeys(chain.from_iterable(self._layers)))

    def __len__(self) -> int:
        return self._length

    def names_not_in(self, other: "Layers[T]") -> list[str]:
        """Give the names that another mapping lacks, quickly where it shares most of its layers with this one."""
        shared = {id(layer) for layer in other._layers}  # noqa: SLF001 - one of us
        unshared = chain.from_iterable(layer for layer in self._layers if id(layer) not in shared)
        return [name for name in dict.fromkeys(unshared) if name not in other]

    def __repr__(self) -> str:
        return f"{self.__class__.__name__}({dict(self)!r})"
