"""Photos as papers show them: upright, no larger than a page needs, without what the camera noted."""

from __future__ import annotations

import base64
import warnings
from io import BytesIO

MOST_DOTS = 1400
"""The longer side of a photo on paper. [dots]"""


def photo_for_paper(content: bytes) -> bytes | None:
    """A photo as SVG with a JPEG in it (Typst takes files in memory as text only); None if it is no photo.

    Place, time and maker that the camera noted are left out; a dossier goes to strangers.
    """
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content)) as opened:
                opened.draft("RGB", (MOST_DOTS, MOST_DOTS))
                image = ImageOps.exif_transpose(opened)
                image.thumbnail((MOST_DOTS, MOST_DOTS))
                shown = Image.new("RGB", image.size, "white")
                with_mask = image.convert("RGBA")
                shown.paste(with_mask, mask=with_mask.getchannel("A"))
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return None
    out = BytesIO()
    shown.save(out, "JPEG", quality=82)
    wide, high = shown.size
    link = f"data:image/jpeg;base64,{base64.b64encode(out.getvalue()).decode()}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}">'
        f'<image width="{wide}" height="{high}" href="{link}"/></svg>'
    ).encode()
