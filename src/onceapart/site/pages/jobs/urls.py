"""Jobs: what is to be done on each car. No id of a job begins with a dash, so ``-`` is free for the rest."""

from django.urls import path

from onceapart.site.pages.jobs import access_views, add_views, views

urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/-/library/", add_views.library, name="job-library"),
    path("jobs/-/by-hand/", add_views.by_hand, name="job-by-hand"),
    path("jobs/-/from-findings/", add_views.from_findings, name="jobs-from-findings"),
    path("jobs/-/recipe/<path:car>/-/<slug:recipe>/", add_views.from_recipe, name="job-from-recipe"),
    path("jobs/-/change/<path:job>/", views.change_job, name="job-change"),
    path("jobs/-/take-out/<path:job>/", views.take_out_job, name="job-take-out"),
    path("jobs/-/access/", access_views.picture, name="access"),
    path("jobs/-/<slug:kind>/new/<path:car>/", access_views.new_thing, name="access-new"),
    path("jobs/-/<slug:kind>/of/<path:key>/", access_views.change_thing, name="access-change"),
    path("jobs/<path:job>/", views.one_job, name="job"),
]
