"""Spoils a record's file or a backup, from a seed: as a disk does, and as another program may.

Half of it hits the bytes as they are, so the checksums tell; the other half changes what is
written and makes the checksums anew, so that nothing but the reading itself can notice.
"""

import json
import random
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import Entry, MemoryFiles, Record, to_document
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.entry.kinds import KINDS
from pocketpump.record.journal.lines import Header, encode, encode_header

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)
NAME = "record-000001.jsonl"
_PIXEL = (
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJg"
    "gg=="
)


def _deep(levels):
    value = 1
    for _ in range(levels):
        value = [value] if levels % 2 else {"days": value}
    return value


VALUES = (
    None, None, None, "", " ", True, False, 0, -1, 1, 7, 0.1, 2.5, 1e15, -1e15, 1e16, 1e308, 
    -1e308, 5e-324, 10**30, 10**400, float("nan"), float("inf"), float("-inf"), "NaN", "inf",
    "1e400", "1,000",
    [], {}, [None], {"": None}, [[]], ["x"] * 300, [True, 2, "x", None, {}], _deep(6), _deep(19),
    _deep(60), _deep(400), "\ud800", "\x00", "\u202e\u200b", "ﷺ" * 60, "x" * 5_000, "a\nb\r\tc",
    "=1+1", "<b>&amp;", "{name}", "%s", "\U0001f9d1\u200d\U0001f9bd", "2026-02-30", "0001-01-01",
    "9999-12-31", "1900-01-01", "2200-12-31", "2026-03-20", "20260320", "2026-W01-1", "25:61",
    "Europe/Berlin", "../../etc/passwd", "UTC", "yes", "no", "baclofen", "missed refill",
    "urgent alarm heard", "origin", "cerebral", "settling days", "language", "de", "text size",
    "0", "-5", "9" * 40, "١٢", {"stops": None}, {"stops": [None]}, {"days": None}, {"days": [[]]},
    {"days": [[[0, -1]]]}, {"days": [[[0, 1e300]]]}, {"days": [[[0, 8.0], [0, 9.0]]]},
    {"days": [[[None, None]]]}, {"days": [[[0, 8.0]]], "timed": [None]},
    {"days": [[[0, 8.0]]], "requested": 3}, {"days": [[[0, 8.0]]], "clock_offset_minutes": 1e9},
    "FREQ=MONTHLY;BYDAY=9TU", "FREQ=MONTHLY;BYDAY=1TU",
)  # fmt: skip
INSTANTS = (
    None, 0, "", "now", "2026-03-20", "2026-03-20T12:00:00", "2026-03-20T12:00:00Z",
    "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59.999999-12:00", "1899-12-31T23:59:00+00:00",
    "1900-01-01T00:00:00+14:00", "1900-01-01T00:00:00-14:00", "2200-12-31T23:59:59-14:00",
    "2200-12-31T23:59:59+14:00", "2201-01-01T00:00:00+00:00", "1970-01-01T00:00:00+00:00",
    "2026-03-29T02:30:00+01:00", "2026-03-20T12:00:00+23:59", "2026-03-20T12:00:00+00:00:01",
    "2026-03-20T12:00:00.000001+00:00", "2038-01-19T03:14:08+00:00", "2100-02-28T00:00:00+00:00",
    "2026-03-20T11:59:59+00:00", "2031-03-20T12:00:00+00:00", "1950-06-01T00:00:00+00:00",
)  # fmt: skip


def small(language: str = "") -> tuple[Entry, ...]:
    """A record with two entries or more of every kind, a correction and a removal."""
    programme = {"programme": programme_to_payload(constant_rate(200))}
    noted = [
        ("pump", -400, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "model": "twenty",
                        "line_volume_ml": 0.2, "implanted_on": "2025-02-01", "felt_low_ml": 3.0,
                        "drug_age_limit_days": 180, "clock_offset_minutes": 60}),
        ("refill", -190, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "drug": "baclofen"}),
        ("programme", -190, programme),
        ("refill", -100, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "expected_ml": 3.0,
                          "withdrawn_ml": 3.4, "measured_after_ml": 20.0, "bridged": True}),
        ("programme", -60, {"programme": programme_to_payload(constant_rate(240)),
                            "printed_alarm_on": "2026-05-05", "note": "a little more"}),
        ("refill", -20, {"filled_ml": 20.0, "strength_mcg_per_ml": 1000.0, "note": "went well",
                         "printed_alarm_on": "2026-05-01", "next_visit_on": "2026-04-14"}),
        ("visit", -12, {"visit_on": "2026-04-16", "visit_time": "10:30", "place": "Pump clinic",
                        "note": "bring the card"}),
        ("programme", -10, programme),
        *(("check-in", -25 + n * 0.5,
           {"stiffness": n % 7, "spasms": n % 4, "severity": 1 + n % 3, "pain": 2.5, "sleep": 3,
            "worries": ["fever"], "side_effects": ["sleepy"], "note": "so so",
            "tablets_as_planned": n % 2 == 0}) for n in range(40)),
        ("happening", -15, {"what": "soft alarm heard", "note": "in the night"}),
        ("happening", -1, {"what": "fall", "follow_up_done": False, "feels_different": True}),
        *(("measure", -30 + n, {"name": "timed walk", "value": 12.5 + n, "unit": "s", "goal": 10,
                                "lower_is_better": True}) for n in range(4)),
        ("contact", -300, {"name": "The clinic", "role": "clinic", "phone": "+31 20 000 0001",
                           "hours": "Mon-Fri 8-17", "on_card": True}),
        ("contact", -300, {"name": "Emergency", "phone": "112", "emergency": True}),
        ("plan", -200, {"text": "Take the tablets and call.", "from_whom": "the clinic",
                        "given_on": "2025-09-01"}),
        ("trip", -3, {"place": "Lima", "zone": "America/Lima", "leaves_on": "2026-03-25",
                      "returns_on": "2026-04-20", "languages": ["es"], "clinic": "General",
                      "stops": {"stops": [{"from_on": "2026-04-01", "place": "Cusco",
                                           "zone": "America/Lima"}]}}),
        ("care", -200, {"name": "A. Person", "born_on": "1980-05-05", "allergies": "latex",
                        "tablets": "none", "injury_t6_or_above": True, "weight_kg": 70.5}),
        ("device", -100, {"months_left": 20, "note": "fine"}),
        ("device", -20, {"months_left": 17, "notice_on": "2027-01-01"}),
        ("attachment", -90, {"name": "paper.png", "media_type": "image/png", "data": _PIXEL}),
        ("clinic days", -200, {"open_weekdays": [0, 2], "closed_on": ["2026-04-06"],
                               "opened_on": ["2026-04-07"], "rule": "FREQ=MONTHLY;BYDAY=1TU",
                               "lead_days": 10, "margin_days": 3}),
        ("question", -5, {"text": "May I swim?"}),
        ("question", -50, {"text": "Is it loud?", "answered": True}),
        *(("preference", -100, {"name": name, "value": value})
          for name, value in (("text size", "1.3"), ("settling days", "5"), ("origin", "spinal"),
                              ("language", language), ("brightness", "light"))),
        ("backup", -40, {"entry_count": 12, "locked": False}),
    ]  # fmt: skip
    ids = iter(range(1, 1_000))
    moments = iter(range(1, 1_000))
    with Record.open(
        MemoryFiles(),
        clock=lambda: NOW - timedelta(days=2) + timedelta(minutes=next(moments)),
        make_id=lambda: f"{next(ids):08d}-0000-4000-8000-000000000000",
    ) as record:
        kept = record.add_many(
            (kind, NOW + timedelta(days=days), "Europe/Amsterdam", payload)
            for kind, days, payload in noted
        )
        record.correct(kept[3].id, {**kept[3].payload, "withdrawn_ml": 3.5})
        record.remove(kept[10].id)
        return record.entries


def demo() -> tuple[Entry, ...]:
    """The invented person of the demo."""
    return moved_to_now(demo_folder(), NOW)


def ten_years() -> tuple[Entry, ...]:
    """Ten years of refills, dose changes and a check-in every third day."""
    begin = NOW - timedelta(days=3_650)
    drafts = [(e.kind, e.at, e.zone, e.payload) for e in small() if e.kind not in ("removal",)]
    for day in range(0, 3_400, 91):
        payload = {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0}
        drafts.append(("refill", begin + timedelta(days=day), "UTC", payload))
    for number, day in enumerate(range(0, 3_400, 182)):
        steps = {"days": [[[0, 8.0 + number / 4], [360, 7.0 + number / 4]]]}
        drafts.append(("programme", begin + timedelta(days=day), "UTC", {"programme": steps}))
    for day in range(0, 3_600, 3):
        payload = {"stiffness": day % 7, "spasms": day % 4}
        drafts.append(("check-in", begin + timedelta(days=day), "UTC", payload))
    ids = iter(range(1, 10_000))
    with Record.open(
        MemoryFiles(),
        clock=lambda: NOW - timedelta(days=1),
        make_id=lambda: f"{next(ids):08d}-0000-4000-8000-000000000000",
    ) as record:
        record.add_many(drafts)
        return record.entries


BASES = {
    "small": small,
    "German": lambda: small("de"),
    "demo": demo,
    "ten years": ten_years,
}


def journal(documents: list) -> bytes:
    """A whole record file that holds ``documents`` as they are, checksums and all."""
    head, chain = encode_header(Header(1, 1, 0))
    lines = [head]
    for number, document in enumerate(documents, 1):
        body = _text({"put": {"entries": {str(number): document}}})
        line, chain = encode(number, chain, body)
        lines.append(line)
    return b"".join(lines)


def backup(documents: list) -> bytes:
    """A whole backup file that holds ``documents`` as they are, sealed."""
    head = {"format": "pocketpump-backup", "version": 1, "schema": 1,
            "written_at": NOW.isoformat(), "written_by": "x",
            "entry_count": len(documents)}  # fmt: skip
    members = ",\n".join(f'"{name}":{json.dumps(value)}' for name, value in head.items())
    lines = b",\n".join(map(_text, documents))
    body = f'{{\n{members},\n"entries":[\n'.encode() + lines + b"\n],\n"
    return body + f'"sha256":"{sha256(body).hexdigest()}"\n}}\n'.encode()


def _text(value) -> bytes:
    return json.dumps(value).encode()


def mangled(seed: int, base: tuple[Entry, ...]) -> tuple[str, bytes]:
    """Return ("record" or "backup", the spoilt file) of this seed."""
    chance = random.Random(seed)
    as_backup = chance.random() < 0.4
    documents = [to_document(entry) for entry in base]
    in_bytes = chance.random() < (0.15 if as_backup else 0.3)
    if not in_bytes:
        for _ in range(chance.choice((1, 1, 2, 3, 8, 25))):
            _change(chance, documents)
    data = backup(documents) if as_backup else journal(documents)
    if in_bytes:
        for _ in range(chance.choice((1, 1, 2, 5))):
            data = _spoil(chance, data)
    return ("backup" if as_backup else "record"), data


def _change(chance: random.Random, documents: list) -> None:
    """Change one thing about what is written."""
    # Kinds that come once are as likely as the many check-ins.
    kinds = sorted({str(one.get("kind")) for one in documents if isinstance(one, dict)})
    kind = chance.choice(kinds)
    places = [
        n
        for n, one in enumerate(documents)
        if isinstance(one, dict) and str(one.get("kind")) == kind
    ]
    place = chance.choice(places[-6:])
    document = deepcopy(documents[place])
    documents[place] = document
    payload = document.get("payload")
    what = chance.random()
    if what < 0.55 and isinstance(payload, dict):
        fields = [field.name for field in KINDS.get(kind, ())] or ["x"]
        field = chance.choice(fields)
        if chance.random() < 0.2 and payload.get(field):
            payload[field] = _inside(chance, payload[field])
        else:
            payload[field] = chance.choice(VALUES)
    elif what < 0.62 and isinstance(payload, dict) and payload:
        del payload[chance.choice(sorted(payload))]
    elif what < 0.67 and isinstance(payload, dict):
        payload[chance.choice(("new", "", "colour of the syringe"))] = chance.choice(VALUES)
    elif what < 0.77:
        document[chance.choice(("at", "written_at"))] = chance.choice(INSTANTS)
    elif what < 0.82:
        document["zone"] = chance.choice(VALUES)
    elif what < 0.86:
        document["kind"] = chance.choice((*KINDS, "mood", *VALUES[:12]))
    elif what < 0.90:
        twin = chance.choice([one for one in documents if isinstance(one, dict)])
        document["id"] = chance.choice((twin.get("id"), *VALUES[:9]))
    elif what < 0.94:
        twin = chance.choice([one for one in documents if isinstance(one, dict)])
        field = chance.choice(("replaces", "removes"))
        document[field] = chance.choice((twin.get("id"), document.get("id"), "nobody", *VALUES[:6]))
    elif what < 0.96:
        document["payload"] = chance.choice(VALUES)
    elif what < 0.97:
        documents[place] = chance.choice(VALUES)
    elif what < 0.98:
        document.pop(chance.choice(sorted(map(str, document))), None)
    else:
        other = chance.randrange(len(documents))
        documents[place], documents[other] = documents[other], documents[place]


def _inside(chance: random.Random, value):
    """Change one thing within a list or an object, else the value itself."""
    value = deepcopy(value)
    if isinstance(value, list) and value:
        n = chance.randrange(len(value))
        value[n] = _inside(chance, value[n])
        return value
    if isinstance(value, dict) and value:
        name = chance.choice(sorted(value))
        value[name] = _inside(chance, value[name])
        return value
    return chance.choice(VALUES)


def _spoil(chance: random.Random, data: bytes) -> bytes:
    """Change the bytes as a bad disk, a cut copy or a clumsy editor does."""
    if not data:
        return data
    at = chance.randrange(len(data))
    what = chance.randrange(8)
    if what == 0:
        return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]
    if what == 1:
        return data[:at]
    if what == 2:
        return data[:at] + data[at + chance.randrange(1, 4_000) :]
    if what == 3:
        return data[:at] + bytes(chance.randrange(256) for _ in range(40)) + data[at:]
    if what == 4:
        return data[:at] + b"\x00" * 512 + data[at + 512 :]
    lines = data.split(b"\n")
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    if what == 5:
        lines[one], lines[other] = lines[other], lines[one]
    elif what == 6:
        lines.insert(one, lines[other])
    else:
        del lines[one]
    return b"\n".join(lines)
