"""Photos of the clinic's papers: kept small, or refused in one sentence."""

import io
import random
import time
from base64 import b64decode
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from pocketpump.core.errors import InputError
from pocketpump.exchange.papers.attachment import attachment_bytes, attachment_payload
from pocketpump.record import DiskFiles, MemoryFiles, Record
from pocketpump.record.entry.kinds import LARGEST_ATTACHMENT

AT = datetime(2026, 1, 1, tzinfo=UTC)


def a_picture(width: int, height: int, kind: str = "PNG") -> bytes:
    # Noise does not compress: the worst a camera can deliver.
    noise = random.Random(1).randbytes(width * height)
    written = io.BytesIO()
    Image.frombytes("L", (width, height), noise).save(written, kind)
    return written.getvalue()


def test_a_small_picture_is_kept_byte_for_byte():
    data = a_picture(300, 400)
    payload = attachment_payload("page.png", data)
    assert attachment_bytes(payload) == data
    assert payload["media_type"] == "image/png"
    with Record.open(MemoryFiles(), clock=lambda: AT) as record:
        record.add("attachment", AT, "UTC", payload)
        assert attachment_bytes(record.alive[0].payload) == data


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_large_photo_is_made_smaller_and_stays_a_picture(kind):
    smooth = Image.linear_gradient("L").resize((3000, 4000)).convert("RGB")
    noise = Image.effect_noise((3000, 4000), 60).convert("RGB")
    written = io.BytesIO()
    Image.blend(smooth, noise, 0.1).save(written, kind)
    assert len(written.getvalue()) > LARGEST_ATTACHMENT
    kept = b64decode(attachment_payload("photo", written.getvalue())["data"])
    assert len(kept) <= LARGEST_ATTACHMENT
    small = Image.open(io.BytesIO(kept))
    assert max(small.size) == 1600
    assert small.size[0] / small.size[1] == pytest.approx(3 / 4, abs=0.01)


def test_without_pillow_a_large_photo_is_refused_with_what_to_do(monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "PIL", None)
    with pytest.raises(InputError, match="larger than 300 kB: take the photo in a small size"):
        attachment_payload("photo.jpg", b"\xff\xd8\xff" + bytes(LARGEST_ATTACHMENT))


@given(st.binary(max_size=300))
def test_anything_else_is_refused_in_one_sentence(data):
    if not data.startswith((b"\x89PNG", b"\xff\xd8\xff", b"RIFF", b"%PDF-")):
        with pytest.raises(InputError) as told:
            attachment_payload("x", data)
        assert len(str(told.value).splitlines()) == 1


def test_a_broken_large_picture_is_refused():
    with pytest.raises(InputError, match="larger than"):
        attachment_payload("x.png", b"\x89PNG\r\n\x1a\n" + bytes(LARGEST_ATTACHMENT))


@pytest.mark.parametrize("payload", [{}, {"data": "###"}, {"data": "AAAAA"}, {"data": None}, 5])
def test_a_picture_from_a_damaged_copy_is_one_sentence(payload):
    with pytest.raises(InputError, match="This picture cannot be read"):
        attachment_bytes(payload)


@pytest.mark.bench
def test_twenty_attachments_hardly_slow_a_save(tmp_path):
    payload = attachment_payload("p.pdf", b"%PDF-" + bytes(LARGEST_ATTACHMENT - 5))
    times = {}
    for count in (0, 20):
        folder = tmp_path / str(count)
        with Record.open(DiskFiles(folder), clock=lambda: AT) as record:
            for _ in range(count):
                record.add("attachment", AT, "UTC", payload)
            start = time.perf_counter()
            for _ in range(50):
                record.add("happening", AT, "UTC", {"what": "x"})
            saving = time.perf_counter() - start
        start = time.perf_counter()
        Record.open(DiskFiles(folder), clock=lambda: AT).close()
        times[count] = saving, time.perf_counter() - start
    (save_0, open_0), (save_20, open_20) = times[0], times[20]
    print(f"\nwith 20 attachments: a save {save_20 / save_0:.2f} times, opening"
          f" {open_20 / open_0:.1f} times ({open_20 * 1000:.0f} ms)")  # fmt: skip
