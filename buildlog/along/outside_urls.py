"""What lies outside every sign-in: a calendar, for whoever was given its address."""

from django.urls import path

from buildlog.along import views

urlpatterns = [
    path("calendar/<str:token>.ics", views.calendar_feed, name="calendar-feed"),
]
