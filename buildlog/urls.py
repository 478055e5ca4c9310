"""Addresses. What belongs to a build lies under its own address; each room names its pages."""

from django.urls import include, path

from buildlog.along import outside_urls as calendars
from buildlog.desk import front
from buildlog.supporters import outside_urls
from tasks.urls import outer as outer_pages

build_pages = [
    path("", include("buildlog.desk.urls")),
    path("", include("tasks.urls")),
    path("", include("buildlog.materials.urls")),
    path("", include("buildlog.money.urls")),
    path("", include("buildlog.journal.urls")),
    path("", include("buildlog.supporters.urls")),
    path("", include("buildlog.ahead.urls")),
    path("", include("buildlog.along.urls")),
    path("", include("buildlog.lists.urls")),
    path("", include("buildlog.background.urls")),
]

urlpatterns = [
    path("", front.front, name="front"),
    path("", include(outer_pages)),
    path("", include("buildlog.start.urls")),
    path("", include("buildlog.door.urls")),
    path("", include(calendars)),
    path("api/", include("buildlog.api.urls")),
    path("b/<slug:slug>/", include(build_pages)),
    path("p/<slug:address>/", include(outside_urls.for_all)),
]
