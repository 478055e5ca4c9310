from django.urls import path

from buildlog.start.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
]
