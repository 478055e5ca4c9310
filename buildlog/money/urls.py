from django.urls import path

from buildlog.money import views

urlpatterns = [
    path("money/", views.money, name="money"),
    path("money/put-by/", views.budget, name="budget"),
    path("money/standing/new/", views.standing_new, name="standing-new"),
    path("money/standing/<int:pk>/", views.standing_edit, name="standing-edit"),
    path("money/standing/<int:pk>/delete/", views.standing_delete, name="standing-delete"),
    path("money/<slug:name>/", views.money_rows, name="money-rows"),
]
