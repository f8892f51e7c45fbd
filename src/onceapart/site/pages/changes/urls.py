"""All changes, each with a way back."""

from django.urls import path

from onceapart.site.pages.changes import views

urlpatterns = [
    path("changes/", views.changes, name="changes"),
    path("changes/<int:number>/", views.one_change, name="change"),
    path("changes/<int:number>/undo/", views.undo_change, name="change-undo"),
]
