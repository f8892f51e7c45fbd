"""Findings and verdicts of a car."""

from django.urls import path

from onceapart.site.pages.findings import views

urlpatterns = [
    path("cars/<path:car>/findings/", views.findings, name="findings"),
    path("cars/<path:car>/findings/out/", views.take_out, name="finding-out"),
    path("cars/<path:car>/findings/<slug:place>/", views.at_place, name="findings-at"),
    path("cars/<path:car>/findings/<slug:place>/<slug:item>/", views.one_item, name="finding"),
]
