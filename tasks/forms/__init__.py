from tasks.forms.build import BuildForm, DeleteBuildForm, NewBuildForm
from tasks.forms.estimate import EstimateForm
from tasks.forms.hours import DayOffForm, WeekForm
from tasks.forms.link import EditLinkForm, NewLinkForm
from tasks.forms.stage import StageForm
from tasks.forms.task import DatesForm, LeftForm, TaskForm

__all__ = [
    "BuildForm",
    "DatesForm",
    "DayOffForm",
    "DeleteBuildForm",
    "EditLinkForm",
    "EstimateForm",
    "LeftForm",
    "NewBuildForm",
    "NewLinkForm",
    "StageForm",
    "TaskForm",
    "WeekForm",
]
