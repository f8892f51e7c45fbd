"""Whether a car may go on the road."""

from django.urls import path

from onceapart.site.pages.release import stopgap_views, views

urlpatterns = [
    path("cars/<path:car>/release/", views.release, name="release"),
    path("cars/<path:car>/release/answer/", views.answer, name="release-answer"),
    path("cars/<path:car>/release/ask/", views.ask, name="release-ask"),
    path("cars/<path:car>/release/grant/", views.grant, name="release-grant"),
    path("cars/<path:car>/release/withdraw/", views.withdraw, name="release-withdraw"),
    path("cars/<path:car>/release/follow-up/", views.follow_up, name="release-follow-up"),
    path("cars/<path:car>/release/odometer/", views.odometer, name="release-odometer"),
    path("cars/<path:car>/release/sign/", stopgap_views.sign, name="stopgap-sign"),
    path("cars/<path:car>/release/made-good/", stopgap_views.made_good, name="stopgap-close"),
]
