"""The sheets of the plan that lie under a build's address."""

from django.urls import path

from tasks.views import builds, hours, links, plan_list, shed, stages, tasks

urlpatterns = [
    path("plan/list/", plan_list.plan_list, name="plan-list"),
    path("tasks/new/", tasks.new_task, name="new-task"),
    path("tasks/<int:pk>/edit/", tasks.edit_task, name="edit-task"),
    path("tasks/<int:pk>/dates/", tasks.task_dates, name="task-dates"),
    path("tasks/<int:pk>/estimate/", tasks.task_estimate, name="task-estimate"),
    path("tasks/<int:pk>/move/", tasks.move_task, name="move-task"),
    path("tasks/<int:pk>/delete/", tasks.delete_task, name="delete-task"),
    path("tasks/<int:pk>/links/", links.task_links, name="task-links"),
    path("links/<int:pk>/", links.edit_link, name="edit-link"),
    path("links/<int:pk>/remove/", links.remove_link, name="remove-link"),
    path("stages/", stages.stages, name="stages"),
    path("stages/<int:pk>/", stages.edit_stage, name="edit-stage"),
    path("stages/<int:pk>/move/", stages.move_stage, name="move-stage"),
    path("stages/<int:pk>/delete/", stages.delete_stage, name="delete-stage"),
    path("hours/", hours.shop_hours, name="shop-hours"),
    path("hours/off/", hours.add_day_off, name="add-day-off"),
    path("hours/off/<int:pk>/remove/", hours.remove_day_off, name="remove-day-off"),
    path("hands/", shed.hands, name="hands"),
    path("hands/<slug:sort>/", shed.add, name="add-to-shed"),
    path("hands/<slug:sort>/<int:pk>/", shed.change, name="change-shed"),
    path("hands/<slug:sort>/<int:pk>/remove/", shed.remove, name="remove-from-shed"),
    path("settings/", builds.build_settings, name="build-settings"),
    path("settings/delete/", builds.delete_build, name="delete-build"),
]

#: What lies under no build.
outer = [
    path("new/", builds.new_build, name="new-build"),
]
