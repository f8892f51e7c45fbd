"""A photo as a file of its own."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from onceapart.site.store.photos import photo_named, photo_path

HEADERS = {
    "Cache-Control": "private, max-age=31536000, immutable",
    "Content-Security-Policy": "default-src 'none'; sandbox",
}
"""The name says what is in it, so it never changes; and it does nothing but be looked at."""


@require_safe
def photo(request: HttpRequest, name: str) -> HttpResponseBase:
    """The photo of that name; one that was taken out is not shown."""
    found = photo_named(name)
    if found is None:
        raise Http404
    try:
        file = photo_path(found).open("rb")
    except OSError:
        raise Http404 from None
    return FileResponse(file, filename=found.name, content_type="image/jpeg", headers=HEADERS)
