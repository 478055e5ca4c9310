from django.urls import path

from buildlog.desk import plan_views, views

urlpatterns = [
    path("", views.bench, name="bench"),
    path("plan/", plan_views.plan, name="plan"),
    path("plan/network/", plan_views.network, name="plan-network"),
]
