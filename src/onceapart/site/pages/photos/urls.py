from django.urls import path

from onceapart.site.pages.photos import views

urlpatterns = [path("photos/<str:name>", views.photo, name="photo")]
