"""What was done, what it cost and took."""

from django.urls import path

from onceapart.site.pages.record import entry_views, views

urlpatterns = [
    path("record/", views.record, name="record"),
    path("record/money/", views.money, name="record-money"),
    path("record/work/", views.work, name="record-work"),
    path("record/measured/", views.measured, name="record-measured"),
    path("record/note/", entry_views.note, name="record-note"),
    path("record/<int:number>/", entry_views.entry, name="record-entry"),
    path("record/<int:number>/strike/", entry_views.strike, name="record-strike"),
]
