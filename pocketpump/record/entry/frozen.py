"""Dictionaries and lists that refuse to change, for payloads.

They stay ``dict`` and ``list`` so that ``isinstance``, ``==`` and ``json`` treat them as the
plain JSON they hold.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NoReturn, TypeAlias

from pocketpump.core.messages import LazyText, text_in

JSON: TypeAlias = "bool | int | float | str | Sequence[JSON] | Mapping[str, JSON] | None"
"""Any value that JSON can hold."""


def _refuse(_self: object, *_args: object, **_kwargs: object) -> NoReturn:
    raise TypeError("an entry never changes; write a correction instead")


class FrozenDict(dict[str, Any]):
    """A ``dict`` that cannot be changed after it was made."""

    __slots__ = ()
    __setitem__ = __delitem__ = __ior__ = _refuse
    update = setdefault = pop = popitem = clear = _refuse

    def __reduce__(self) -> tuple[type, tuple[dict[str, Any]]]:
        return FrozenDict, (dict(self),)

    def __deepcopy__(self, _memo: object) -> "FrozenDict":
        return self


class FrozenList(list[Any]):
    """A ``list`` that cannot be changed after it was made."""

    __slots__ = ()
    __setitem__ = __delitem__ = __iadd__ = __imul__ = _refuse
    append = extend = insert = remove = pop = clear = _refuse
    sort = reverse = _refuse

    def __reduce__(self) -> tuple[type, tuple[list[Any]]]:
        return FrozenList, (list(self),)

    def __deepcopy__(self, _memo: object) -> "FrozenList":
        return self


_SCALARS = frozenset({str, int, float, bool, type(None)})  # a look-up is far faster than a chain


def freeze(value: JSON) -> Any:
    """Return ``value`` with every object and array in it copied into a frozen one.

    A word that was chosen from what the program says is kept as the plain text it is.
    """
    if type(value) in _SCALARS:
        return value
    if isinstance(value, LazyText):
        return text_in(value, None)
    if isinstance(value, (dict, Mapping)):
        return FrozenDict({key: freeze(part) for key, part in value.items()})
    return FrozenList(map(freeze, value)) if isinstance(value, (list, tuple)) else value


def thaw(value: JSON) -> Any:
    """Return ``value`` with every object and array in it copied into a plain one."""
    if type(value) in _SCALARS:
        return value
    if isinstance(value, (dict, Mapping)):
        return {key: thaw(part) for key, part in value.items()}
    return list(map(thaw, value)) if isinstance(value, (list, tuple)) else value
