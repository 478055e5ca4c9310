from django.urls import path

from buildlog.journal import views

urlpatterns = [
    path("log/", views.log, name="log"),
    path("photos/", views.photos, name="photos"),
]
