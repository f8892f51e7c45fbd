"""The first page: each car, and what stands in its way."""

from django.urls import path

from onceapart.site.pages.workshop import views

urlpatterns = [
    path("", views.workshop, name="workshop"),
    path("take-in/", views.take_in_file, name="take-in"),
    path("workshop.yaml", views.export, name="export"),
    path("units/", views.units, name="units"),
]
