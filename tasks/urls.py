from django.urls import path

from tasks import views

urlpatterns = [
    path("plan/", views.plan, name="plan"),
    path("tasks/<int:pk>/", views.task, name="task"),
]
