"""Papers to download."""

from django.urls import path

from onceapart.site.pages.paper import car_views, views

urlpatterns = [
    path("paper/", views.papers, name="papers"),
    path("paper/card/<path:stint>/card.pdf", views.card, name="paper-card"),
    path("paper/orders.pdf", views.orders_as_pdf, name="paper-orders-pdf"),
    path("paper/orders.csv", views.orders_as_csv, name="paper-orders-csv"),
    path("paper/calendar.ics", views.calendar, name="paper-calendar"),
    path("paper/workshop.xlsx", views.sheet, name="paper-sheet"),
    path("paper/cars/<str:car>/dossier.pdf", car_views.dossier, name="paper-dossier"),
    path(
        "paper/stint/<path:stint>/write-up.<str:kind>", car_views.write_up_stint, name="paper-write-up-stint"
    ),
    path("paper/job/<path:job>/write-up.<str:kind>", car_views.write_up_job, name="paper-write-up-job"),
]
