"""Addresses of all pages. Each page has its own in ``pages/NAME/urls.py``."""

from django.urls import include, path

PAGES = (
    "workshop",
    "findings",
    "jobs",
    "parts",
    "plan",
    "bench",
    "release",
    "record",
    "paper",
    "sums",
    "changes",
    "photos",
    "door",
)

urlpatterns = [path("", include(f"onceapart.site.pages.{name}.urls")) for name in PAGES]
handler400 = "onceapart.site.pages.mishaps.bad_request"
handler403 = "onceapart.site.pages.mishaps.not_allowed"
handler404 = "onceapart.site.pages.mishaps.not_found"
handler500 = "onceapart.site.pages.mishaps.broken"
