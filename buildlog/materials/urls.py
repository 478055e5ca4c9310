from django.urls import path

from buildlog.materials import views

urlpatterns = [
    path("materials/", views.materials, name="materials"),
]
