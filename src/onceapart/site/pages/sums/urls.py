"""Every bench sum as a form."""

from django.urls import path

from onceapart.site.pages.sums import views

urlpatterns = [
    path("sums/", views.sums, name="sums"),
    path("sums/kept/<int:pk>/", views.kept, name="sum-kept"),
    path("sums/kept/<int:pk>/remove/", views.remove, name="sum-remove"),
    path("sums/kept/<int:pk>/back/", views.put_back, name="sum-back"),
    path("sums/<slug:name>/", views.one_sum, name="sum"),
    path("sums/<slug:name>/drawing.svg", views.drawing, name="sum-drawing"),
    path("sums/<slug:name>/plot.svg", views.plot, name="sum-plot"),
    path("sums/<slug:name>/keep/", views.keep, name="sum-keep"),
]
