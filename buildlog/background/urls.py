from django.urls import path

from buildlog.background import views

urlpatterns = [
    path("background/", views.background, name="background"),
    path("background/<int:pk>/", views.job, name="job"),
    path("background/<int:pk>/cancel/", views.cancel_job, name="cancel-job"),
    path("background/<int:pk>/retry/", views.retry_job, name="retry-job"),
]
