from django.urls import path

from buildlog.supporters import views

urlpatterns = [
    path("supporters/", views.supporters, name="supporters"),
]
