"""The sheets that look ahead, under a build's address."""

from django.urls import path

from buildlog.ahead import views

urlpatterns = [
    path("plan/launch/", views.launch, name="launch"),
    path("plan/launch/date/", views.launch_date, name="launch-date"),
    path("plan/launch/offer/", views.answer_offer, name="answer-offer"),
    path("tasks/<int:pk>/place/", views.place, name="task-place"),
    path("tasks/<int:pk>/place/free/", views.let_go, name="let-go"),
]
