from django.urls import path

from buildlog.desk import views

urlpatterns = [
    path("", views.bench, name="bench"),
]
