from django.urls import path

from onceapart.site.pages.door import views

urlpatterns = [
    path("come-in/", views.come_in, name="come-in"),
    path("go-out/", views.go_out, name="go-out"),
]
