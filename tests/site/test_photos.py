"""Photos: nothing but the picture is kept, and nothing but pictures."""

from __future__ import annotations

import datetime as dt
import io
import struct
import zlib
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from onceapart.site.store import photos
from onceapart.site.store.models import Photo
from onceapart.site.store.photos import (
    MAX_SIDE,
    PhotoRefusedError,
    keep_photo,
    made_anew,
    photo_path,
    put_back_photo,
    take_out_photo,
)
from onceapart.site.store.refs import NothingThereError

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db


def file_of(picture: Image.Image, kind: str = "JPEG", **more: Any) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


def halves(size: tuple[int, int] = (300, 200)) -> Image.Image:
    """Red on the left, blue on the right."""
    picture = Image.new("RGB", size, "red")
    picture.paste("blue", (size[0] // 2, 0, *size))
    return picture


def keep(data: bytes, name: str = "../../IMG 1.php") -> Photo:
    return keep_photo(SimpleUploadedFile(name, data), at=NOON)


def read(answer: Any) -> bytes:
    """All of an answer, which closes its file too."""
    return b"".join(answer.streaming_content)


def opened(photo: Photo) -> Image.Image:
    with Image.open(photo_path(photo)) as found:
        found.load()
        return found


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_as_a_jpeg(kind: str) -> None:
    photo = keep(file_of(halves(), kind))
    found = opened(photo)
    assert (found.format, found.size, found.mode) == ("JPEG", (300, 200), "RGB")
    assert (photo.width, photo.height) == (300, 200)
    red, blue = found.getpixel((40, 100)), found.getpixel((260, 100))
    assert red[0] > 200 > 60 > red[2]  # type: ignore[index]
    assert blue[2] > 200 > 60 > blue[0]  # type: ignore[index]


def test_it_is_the_right_way_up_and_says_nothing_of_where_it_was_taken() -> None:
    about = Image.Exif()
    about[0x0112] = 6  # held upright: to be turned a quarter
    about[0x010F] = "SECRET MAKER"
    about.get_ifd(0x8825)[1] = "N"
    sent = file_of(halves(), exif=about.tobytes(), comment=b"SECRET COMMENT", icc_profile=b"SECRET PROFILE")
    assert sent.count(b"SECRET") == 3
    photo = keep(sent + b"SECRET TAIL <?php")
    found = opened(photo)
    assert found.size == (200, 300)
    top = found.getpixel((100, 40))
    assert top[0] > 200 > 60 > top[2]  # type: ignore[index]
    kept = photo_path(photo).read_bytes()
    assert b"SECRET" not in kept
    assert b"Exif" not in kept
    assert dict(found.getexif()) == {}


def test_a_large_photo_is_made_smaller_and_a_small_one_not_larger() -> None:
    assert opened(keep(file_of(halves((4000, 1000))))).size == (MAX_SIDE, 500)
    assert opened(keep(file_of(halves((10, 3000))))).size == (7, MAX_SIDE)
    assert opened(keep(file_of(halves((3, 2))))).size == (3, 2)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1", "I;16", "CMYK"])
def test_every_kind_of_picture_is_taken_and_what_is_clear_is_white(mode: str) -> None:
    picture = Image.new(mode, (20, 10))
    photo = keep(file_of(picture, "JPEG" if mode == "CMYK" else "PNG"))
    corner = opened(photo).getpixel((0, 0))
    if mode in ("RGBA", "LA"):
        assert corner == (255, 255, 255)


def test_the_same_photo_is_kept_once_and_no_other_name_is_believed() -> None:
    data = file_of(halves())
    first, again = keep(data, "one.jpg"), keep(data, "two.png")
    assert first == again
    assert first.name == f"{first.digest[:20]}.jpg"
    folder = photo_path(first).parent
    assert [path.name for path in folder.iterdir()] == [f"{first.digest}.jpg"]
    assert Photo.objects.count() == 1


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(side: int) -> bytes:
    """A PNG of a few kilobytes that says it has a huge number of pixels."""
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 10_000_000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [7_100, 12_000, 100_000, 2**31 - 1])
def test_a_picture_that_would_fill_the_memory_is_refused(side: int) -> None:
    with pytest.raises(PhotoRefusedError, match=r"million pixels|broken"):
        keep(bomb(side))


def test_a_file_that_is_too_large_is_refused_whatever_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "MAX_BYTES", 1_000)
    with pytest.raises(PhotoRefusedError, match="at most"):
        keep(b"x" * 1_001)
    lying = SimpleUploadedFile("a.jpg", b"x" * 5_000)
    lying.size = 10
    with pytest.raises(PhotoRefusedError, match="at most"):
        keep_photo(lying, at=NOON)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + b"\0" * 50,
        b"%PDF-1.7",
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
        b"\xff\xd8\xff\xe0 no more",
        file_of(halves(), "GIF"),
        file_of(halves(), "TIFF"),
        file_of(halves(), "BMP"),
    ],
)
def test_what_is_no_photo_is_refused(data: bytes) -> None:
    with pytest.raises(PhotoRefusedError, match=r"JPEG, PNG or WebP|broken"):
        keep(data)
    assert not Photo.objects.exists()


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(["JPEG", "PNG", "WEBP"]), st.data())
def test_a_spoilt_file_is_a_photo_or_refused(kind: str, data: st.DataObject) -> None:
    sent = bytearray(file_of(halves((40, 30)), kind))
    for _ in range(data.draw(st.integers(1, 8))):
        sent[data.draw(st.integers(0, len(sent) - 1))] = data.draw(st.integers(0, 255))
    sent = sent[: data.draw(st.integers(1, len(sent)))]
    try:
        made, size = made_anew(io.BytesIO(bytes(sent)))
    except PhotoRefusedError:
        return
    with Image.open(io.BytesIO(made)) as found:
        assert (found.format, found.size) == ("JPEG", size)


def test_a_photo_is_served_as_nothing_but_a_picture(client: Client) -> None:
    photo = keep(file_of(halves()))
    answer = client.get(f"/photos/{photo.name}")
    assert answer.status_code == 200
    assert read(answer) == photo_path(photo).read_bytes()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert "immutable" in answer["Cache-Control"]
    assert "private" in answer["Cache-Control"]
    assert answer["Content-Disposition"] == f'inline; filename="{photo.name}"'
    assert client.post(f"/photos/{photo.name}").status_code == 405


@pytest.mark.parametrize(
    "name", ["no-such.jpg", "..%2Fsecret-key", "%2e%2e/secret-key", "..\\secret-key", "."]
)
def test_no_other_file_is_served(client: Client, name: str) -> None:
    keep(file_of(halves()))
    assert client.get(f"/photos/{name}").status_code == 404


def test_a_photo_that_was_taken_out_comes_back(client: Client) -> None:
    photo = keep(file_of(halves()))
    take_out_photo(photo.name, at=NOON)
    assert client.get(f"/photos/{photo.name}").status_code == 404
    with pytest.raises(NothingThereError):
        take_out_photo(photo.name, at=NOON)
    put_back_photo(photo.name)
    assert read(client.get(f"/photos/{photo.name}"))
    take_out_photo(photo.name, at=NOON)
    assert keep(file_of(halves())).removed_at is None, "sent once more, it is there again"
    with pytest.raises(NothingThereError):
        put_back_photo("no-such.jpg")


def test_a_lost_file_is_no_broken_page(client: Client) -> None:
    photo = keep(file_of(halves()))
    Path(photo_path(photo)).unlink()
    assert client.get(f"/photos/{photo.name}").status_code == 404
