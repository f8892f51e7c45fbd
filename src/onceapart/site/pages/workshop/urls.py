"""The first page: each car, and what stands in its way; and what the workshop is made of."""

from django.urls import path

from onceapart.site.pages.workshop import car_views, thing_views, views

urlpatterns = [
    path("", views.workshop, name="workshop"),
    path("take-in/", views.take_in_file, name="take-in"),
    path("workshop.yaml", views.export, name="export"),
    path("units/", views.units, name="units"),
    path("workshop/", thing_views.edit_head, name="workshop-edit"),
    path("workshop/begin/", thing_views.begin, name="workshop-begin"),
    path("workshop/you/", thing_views.say_who, name="you"),
    path("workshop/stints/", thing_views.stints, name="stints"),
    path("workshop/stints/<path:key>/", thing_views.edit_stint, name="stint-edit"),
    path("workshop/tools/", thing_views.tools, name="tools"),
    path("workshop/tools/<path:key>/", thing_views.edit_tool, name="tool-edit"),
    path("workshop/cars/new/", car_views.new_car, name="car-new"),
    path("workshop/cars/<path:car>/take-out/", car_views.take_out_car, name="car-take-out"),
    path("workshop/cars/<path:car>/", car_views.edit_car, name="car-edit"),
]
