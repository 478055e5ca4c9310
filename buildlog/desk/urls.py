from django.urls import path

from buildlog.desk import (
    act_views,
    change_views,
    check_views,
    network_views,
    paper_views,
    picked_views,
    plan_views,
    task_views,
    views,
)

urlpatterns = [
    path("", views.bench, name="bench"),
    path("plan/", plan_views.plan, name="plan"),
    path("plan/network/", network_views.network, name="plan-network"),
    path("plan/checks/", check_views.checks, name="plan-checks"),
    path("plan/sheets.pdf", paper_views.bars_pdf, name="plan-pdf"),
    path("plan/network/sheets.pdf", paper_views.network_pdf, name="network-pdf"),
    path("plan/task/<int:pk>/", picked_views.plan_task, name="plan-task"),
    path("plan/undo/<str:token>/", change_views.undo_change, name="undo-change"),
    path("tasks/<int:pk>/reach/", change_views.reach, name="reach-day"),
    path("tasks/<int:pk>/", task_views.task, name="task"),
    path("tasks/<int:pk>/start/", act_views.start_task, name="start-task"),
    path("tasks/<int:pk>/stop/", act_views.stop_task, name="stop-task"),
    path("tasks/<int:pk>/finish/", act_views.finish_task, name="finish-task"),
    path("tasks/<int:pk>/left/", act_views.say_left, name="say-left"),
    path("acts/<int:pk>/undo/", act_views.undo_act, name="undo-act"),
    path("acts/<int:pk>/used/", act_views.confirm_use, name="confirm-use"),
]
