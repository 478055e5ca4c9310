"""The sheets that look ahead, under a build's address."""

from django.urls import path

from buildlog.ahead import changed_views, moves_views, views

urlpatterns = [
    path("plan/launch/", views.launch, name="launch"),
    path("plan/launch/date/", views.launch_date, name="launch-date"),
    path("plan/launch/offer/", views.answer_offer, name="answer-offer"),
    path("plan/launch/try/", moves_views.try_move, name="try-move"),
    path("plan/launch/take/", moves_views.take_move, name="take-move"),
    path("plan/launch/taken/<int:pk>/undo/", moves_views.undo_move, name="undo-move"),
    path("plan/changes/", changed_views.changes, name="changes"),
    path("plan/changes/keep/", changed_views.keep, name="keep-baseline"),
    path("plan/changes/<int:pk>/compare/", changed_views.compare, name="compare-baseline"),
    path("plan/changes/<int:pk>/delete/", changed_views.delete, name="delete-baseline"),
    path("tasks/<int:pk>/place/", views.place, name="task-place"),
    path("tasks/<int:pk>/place/free/", views.let_go, name="let-go"),
]
