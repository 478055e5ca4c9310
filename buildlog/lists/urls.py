from django.urls import path

from buildlog.lists import views

urlpatterns = [
    path("lists/", views.lists, name="lists"),
]
