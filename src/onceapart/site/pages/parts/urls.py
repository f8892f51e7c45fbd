"""Parts, offers, sellers, the shelf, and orders."""

from django.urls import path

from onceapart.site.pages.parts import offer_views, order_views, paste_views, views

urlpatterns = [
    path("parts/", views.parts, name="parts"),
    path("parts/shelf/", views.shelf, name="shelf"),
    path("parts/paste/", paste_views.paste, name="offers-paste"),
    path("parts/add-offer/", offer_views.new_offer, name="offer-new"),
    path("parts/offers/", offer_views.offers, name="offers"),
    path("parts/offers/<path:offer>/", offer_views.edit_offer, name="offer-edit"),
    path("parts/sellers/", offer_views.sellers, name="sellers"),
    path("parts/sellers/<path:seller>/", offer_views.edit_seller, name="seller-edit"),
    path("orders/", order_views.orders, name="orders"),
    path("orders/placed/", order_views.place, name="order-placed"),
    path("orders/came/", order_views.came, name="order-came"),
    path("orders/day/", order_views.comes_on, name="order-day"),
    path("orders/slip/", order_views.slip, name="order-slip"),
    path("orders/deposit/", order_views.deposit, name="order-deposit"),
]
