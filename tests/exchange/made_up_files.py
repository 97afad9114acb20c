"""Backups and records whose checksums are right, whatever is in them."""

import json
from hashlib import sha256

from exchange_helpers import NOW

from pocketpump.exchange.backup.backup import write_backup
from pocketpump.record.journal.lines import Header, encode, encode_header

PUMP = {
    "id": "pump", "kind": "pump", "at": "2026-01-12T09:00:00+00:00", "zone": "",
    "written_at": "2026-01-12T08:05:00+00:00",
    "payload": {"reservoir_ml": 40.0, "alarm_volume_ml": 2.0},
}  # fmt: skip


def entry(one: str, kind: str, **payload: object) -> str:
    return json.dumps({**PUMP, "id": one, "kind": kind, "payload": payload})


def deep(levels: int) -> str:
    text = entry("deep", "newer", x=0)
    return text.replace('"x": 0', '"x": ' + "[" * levels + "]" * levels)


def sealed(*documents: str) -> bytes:
    """A backup whose seal is right, whatever its entries are."""
    head = write_backup((), NOW).decode().split('"entry_count"')[0]
    body = f'{head}"entry_count":{len(documents)},\n"entries":[\n'
    body += ",\n".join(documents) + "\n],\n"
    return body.encode() + f'"sha256":"{sha256(body.encode()).hexdigest()}"\n}}\n'.encode()


def folder(*documents: str) -> dict[str, bytes]:
    line, chain = encode_header(Header(1, 1, 0))
    inside = ",".join(f'"{number}":{text}' for number, text in enumerate(documents, 1))
    more, _ = encode(1, chain, f'{{"put":{{"entries":{{{inside}}}}}}}'.encode())
    return {"record-000001.jsonl": line + more}
