"""The current stint, step by step."""

from django.urls import path

from onceapart.site.pages.bench import send_views, snag_views, views, way_views

urlpatterns = [
    path("bench/", views.bench, name="bench"),
    path("bench/worker.js", views.worker, name="bench-worker"),
    path("bench/do/", views.do, name="bench-do"),
    path("bench/send/", send_views.send, name="bench-send"),
    path("bench/snags/", snag_views.snags, name="snags"),
    path("bench/snags/new/", snag_views.new_snag, name="snag-new"),
    path("bench/snags/<int:number>/", snag_views.one_snag, name="snag"),
    path("bench/snags/<int:number>/close/", snag_views.close_snag, name="snag-close"),
    path("bench/snags/<int:number>/plan/", snag_views.ask_anew, name="snag-plan"),
    path("bench/snags/<int:number>/ways/<path:key>/", way_views.one_way, name="snag-way"),
    path("bench/<path:stint>/", views.bench, name="bench-stint"),
]
