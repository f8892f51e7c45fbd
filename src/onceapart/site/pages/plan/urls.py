"""The plan: asked for, looked at, compared, worked by."""

from django.urls import path

from onceapart.site.pages.plan import views

urlpatterns = [
    path("plan/", views.plan, name="plan"),
    path("plan/ask/", views.ask_plan, name="plan-ask"),
    path("plan/ask-all/", views.ask_all, name="plan-ask-all"),
    path("plan/<int:number>/", views.run, name="plan-run"),
    path("plan/<int:number>/progress/", views.progress, name="plan-progress"),
    path("plan/<int:number>/stop/", views.stop_run, name="plan-stop"),
    path("plan/<int:number>/choose/", views.choose_run, name="plan-choose"),
    path("plan/none/", views.choose_none, name="plan-choose-none"),
]
