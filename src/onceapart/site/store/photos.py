"""Photos: made anew from what was sent, so that nothing of it but the picture is kept.

A photo is named by what is in it. Its file is never deleted; what is taken out can be put back.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import os
import secrets
import threading
import warnings
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO, Protocol

from django.conf import settings
from PIL import Image, ImageOps, UnidentifiedImageError

from onceapart.errors import OnceapartError
from onceapart.site.store.models import Photo
from onceapart.site.store.refs import NothingThereError

MAX_BYTES = 15_000_000
MAX_PIXELS = 50_000_000
"""Of one photo; a good phone takes 12 to 50 million."""
MAX_SIDE = 2000
"""Pixels of the longer side that are kept: enough to read a stamped number."""
QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP")
_ONE_AT_A_TIME = threading.Semaphore(2)
"""An opened photo takes up to 200 MB of memory."""


class PhotoRefusedError(OnceapartError):
    """A file that can't be taken as a photo; the message gives the rule and the way out."""


class Upload(Protocol):
    """A file as a form sends it (Django's UploadedFile), or any opened one with a size."""

    size: int | None

    def read(self, count: int = -1, /) -> bytes: ...


def keep_photo(upload: Upload, *, at: dt.datetime) -> Photo:
    """Keep a photo; the same picture once more is the same photo.

    Parameters
    ----------
    upload : Upload
        A JPEG, PNG or WebP file of at most 15 MB and 50 million pixels.
    at : datetime

    Returns
    -------
    Photo
        Its ``name`` is what findings and entries of the record call it. It is a JPEG of at most 2000
        pixels a side, the right way up, without place, time and make of the camera.

    Raises
    ------
    PhotoRefusedError
    """
    if upload.size is not None and upload.size > MAX_BYTES:
        raise _too_large(upload.size)
    sent = upload.read(MAX_BYTES + 1)
    if len(sent) > MAX_BYTES:
        raise _too_large(len(sent))
    with _ONE_AT_A_TIME:
        made, size = made_anew(io.BytesIO(sent))
    digest = hashlib.sha256(made).hexdigest()
    _put(settings.PHOTOS / f"{digest}.jpg", made)
    name = f"{digest[:20]}.jpg"
    photo, _ = Photo.objects.update_or_create(
        name=name,
        defaults={"removed_at": None},
        create_defaults={"digest": digest, "width": size[0], "height": size[1], "at": at},
    )
    return photo


def made_anew(sent: BinaryIO) -> tuple[bytes, tuple[int, int]]:
    """JPEG of the picture in a file, and its width and height. [pixels]

    Raises
    ------
    PhotoRefusedError
        It is no photo, of another format, broken, or has too many pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of odd notes beside the picture, which are dropped anyway
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(sent, formats=FORMATS) as found:
                if found.width * found.height > MAX_PIXELS:
                    raise _too_many_pixels()
                found.draft("RGB", (MAX_SIDE, MAX_SIDE))  # a JPEG is read no larger than needed
                picture = ImageOps.exif_transpose(found)
                picture = _on_white(picture)
        picture.thumbnail((MAX_SIDE, MAX_SIDE), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        picture.info.clear()  # comments and profiles would be written out again
        picture.save(out, "JPEG", quality=QUALITY, optimize=True)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise _too_many_pixels() from None
    except UnidentifiedImageError:
        rule = "a photo is a JPEG, PNG or WebP file"
        raise PhotoRefusedError(
            f"this file is none that can be read: {rule}; take a photo or save it as one"
        ) from None
    except (OSError, ValueError, SyntaxError, EOFError, ArithmeticError, IndexError, KeyError, MemoryError):
        raise PhotoRefusedError(
            "this photo is broken; take it again, or open and save it elsewhere first"
        ) from None
    return out.getvalue(), picture.size


def _on_white(picture: Image.Image) -> Image.Image:
    if "transparency" not in picture.info and "A" not in picture.getbands():
        return picture.convert("RGB")
    seen = picture.convert("RGBA")
    white = Image.new("RGBA", seen.size, "white")
    return Image.alpha_composite(white, seen).convert("RGB")


def photo_named(name: str) -> Photo | None:
    """The photo of that name, unless it was taken out."""
    return Photo.objects.filter(name=name, removed_at=None).first()


def photos_kept(names: Iterable[str]) -> frozenset[str]:
    """Those of the names that there is a photo of."""
    wanted = sorted(set(names))
    found = Photo.objects.filter(name__in=wanted, removed_at=None) if wanted else Photo.objects.none()
    return frozenset(found.values_list("name", flat=True))


def photo_path(photo: Photo) -> Path:
    """Where its file is."""
    folder: Path = settings.PHOTOS
    return folder / f"{photo.digest}.jpg"


def take_out_photo(name: str, *, at: dt.datetime) -> None:
    """Show a photo no more; raises NothingThereError if there is none."""
    if not Photo.objects.filter(name=name, removed_at=None).update(removed_at=at):
        raise NothingThereError(f"photo {name}: there is none; it may have been taken out meanwhile")


def put_back_photo(name: str) -> None:
    """Show a photo again; raises NothingThereError if there never was one."""
    if not Photo.objects.filter(name=name).update(removed_at=None):
        raise NothingThereError(f"photo {name}: there is none")


def _put(path: Path, data: bytes) -> None:
    """Write a file whole or not at all; one that is there holds the same."""
    if path.exists():
        return
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.stem}.{secrets.token_hex(4)}")
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)


def _too_large(size: int) -> PhotoRefusedError:
    rule = f"a photo has at most {MAX_BYTES // 1_000_000} MB"
    return PhotoRefusedError(f"{size / 1_000_000:.1f} MB: {rule}; have the phone make it smaller")


def _too_many_pixels() -> PhotoRefusedError:
    rule = f"a photo has at most {MAX_PIXELS // 1_000_000} million pixels"
    return PhotoRefusedError(f"this one is larger: {rule}; have the phone make it smaller")
