"""Errors and problems that speak to the person.

Every message is one plain sentence that says what is wrong and how to mend it; views
(screens, command line) show it as it is. An *error* is raised when nothing can be
returned; a *problem* is a value that travels beside a result that is still useful.
"""

from dataclasses import dataclass


class PocketPumpError(Exception):
    """The base of every error PocketPump raises on purpose.

    ``str(error)`` is one sentence fit to be shown to the person: the one handed in, or else the
    ``sentence`` of its class.
    """

    sentence = ""

    def __init__(self, sentence: str = "") -> None:
        super().__init__(sentence or self.sentence)


class InputError(PocketPumpError, ValueError):
    """Something typed or handed in cannot be used.

    ``field`` names the entry field it belongs to ("" when it belongs to none), so a
    screen can show the sentence beside that field.
    """

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Problem:
    """Something odd that does not stop the result: told to the person, never hidden.

    ``code`` is a stable word for tests and tables, ``sentence`` is for the person,
    ``ids`` are the entries it speaks of (empty when it speaks of none).
    """

    code: str
    sentence: str
    ids: tuple[str, ...] = ()


def shown(text: str, longest: int = 40) -> str:
    """Return what was typed, cut to one short printable line, to be quoted in a sentence."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= longest else line[: longest - 1] + "…"
