"""Random histories, as several people with several copies would make them."""

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache

from pocketpump.core.errors import InputError
from pocketpump.exchange.backup.cipher_desktop import DesktopCipher
from pocketpump.record import Entry, MemoryFiles, Record
from pocketpump.record.entry.frozen import freeze

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
KINDS = {
    "pump": lambda r: {"reservoir_ml": 40.0, "alarm_volume_ml": r.choice([1, 2.0])},
    "refill": lambda r: {
        "filled_ml": r.choice([18, 19.5, 20.0]),
        "strength_mcg_per_ml": r.choice([500.0, 2000]),
        "note": r.choice(["", "=1+1", "a\r\nb", "'x", 'Ünï, "quoted"; semi', "-5", "\u2028"]),
        "bridged": r.random() < 0.5,
    },
    "check-in": lambda r: {
        "stiffness": r.randint(0, 10),
        "pain": r.choice([0, 2.5, 10]),
        "worries": r.sample(["headache", "[fever]", "a,b"], r.randint(0, 3)),
    },
    "clinic days": lambda r: {"open_weekdays": [0, 1], "closed_on": ["2026-12-25"]},
    "preference": lambda r: {"name": "x", "value": r.choice([None, True, 1.0, 1, "yes", "=2"])},
    "programme": lambda r: {"programme": {"days": [[[0, r.choice([8.0, 10])]]]}},
    "visit": lambda r: {
        "visit_on": "2026-04-09",
        "visit_time": r.choice(["00:00", "14:30"]),
        "place": r.choice(["", "-1", "Ünï, clinic"]),
        "cancelled": r.random() < 0.5,
    },
}


def live(record: Record, chance: random.Random, steps: int) -> None:
    """Add, correct, remove and undo at random."""
    for _ in range(steps):
        kind = chance.choice(list(KINDS))
        payload = KINDS[kind](chance)
        at = NOW - timedelta(minutes=chance.randint(0, 500_000))
        others = [e for e in record.alive if e.removes is None]
        act = chance.random()
        try:
            if act < 0.55 or not others:
                record.add(kind, at, chance.choice(["", "UTC", "Europe/Rome"]), payload)
            elif act < 0.75:
                one = chance.choice(others)
                record.correct(one.id, KINDS[one.kind](chance) if one.kind in KINDS else {}, at)
            elif act < 0.9:
                record.remove(chance.choice(others).id)
            else:
                record.undo(chance.choice(record.alive).id)
        except InputError:
            continue


def copies(seed: int, number: int = 3) -> list[Record]:
    """Records that began as one, were copied, lived apart, and met now and then."""
    chance = random.Random(seed)
    clock = Clock(chance)
    made = [Record.open(MemoryFiles(), clock=clock) for _ in range(number)]
    live(made[0], chance, chance.randint(0, 8))
    for other in made[1:]:
        if chance.random() < 0.8:
            other.import_entries(made[0].entries)
    for _ in range(chance.randint(1, 3)):
        for one in made:
            live(one, chance, chance.randint(0, 6))
        if chance.random() < 0.5:
            first, second = chance.sample(made, 2)
            first.import_entries(second.entries)
    return made


class Clock:
    """A clock that mostly goes forward and is set back now and then, as on real devices."""

    def __init__(self, chance: random.Random) -> None:
        self.chance, self.now = chance, NOW

    def __call__(self) -> datetime:
        back = self.chance.random() < 0.05
        self.now += timedelta(days=-40) if back else timedelta(seconds=self.chance.randint(0, 99))
        return self.now


def forge(records: list[Record], chance: random.Random) -> None:
    """Give some entries another content in one of the copies, as an edited table can."""
    for _ in range(chance.randint(1, 4)):
        source, target = chance.choice(records), chance.choice(records)
        there = ids(target.entries)
        # A correction without what it corrects is another matter, and the id of what is kept
        # apart follows from its content, so that no table gives it another one.
        known = [e for e in source.entries if e.kind in KINDS and e.id[14] == "4"]
        known = [e for e in known if e.replaces is None or e.id in there]
        if known:
            one = chance.choice(known)
            written = one.written_at + timedelta(days=chance.choice([0, 0, -9, 9]))
            payload = KINDS[one.kind](chance)
            target.import_entries([replace(one, payload=freeze(payload), written_at=written)])


def ids(entries: "tuple[Entry, ...]") -> set[str]:
    return {entry.id for entry in entries}


class RememberingCipher(DesktopCipher):
    """The desktop's cipher that derives each key once: 600,000 rounds for each try add up."""

    async def derive(self, passphrase: bytes, salt: bytes, rounds: int):
        return _key(passphrase, salt, rounds)


@lru_cache
def _key(passphrase: bytes, salt: bytes, rounds: int):
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.kdf.pbkdf2 import PBKDF2HMAC

    return AESGCM(PBKDF2HMAC(SHA256(), 32, salt, rounds).derive(passphrase))
