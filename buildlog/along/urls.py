"""Taking the plan along, under a build's address."""

from django.urls import path

from buildlog.along import views

urlpatterns = [
    path("plan/along/", views.take_along, name="take-along"),
    path("plan/along/address/", views.new_address, name="new-calendar-address"),
    path("plan/along/address/revoke/", views.revoke, name="revoke-calendar-address"),
    path("plan/order.csv", views.order_csv, name="order-csv"),
    path("plan/order.json", views.order_json, name="order-json"),
]
