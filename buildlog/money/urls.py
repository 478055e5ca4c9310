from django.urls import path

from buildlog.money import views

urlpatterns = [
    path("money/", views.money, name="money"),
]
