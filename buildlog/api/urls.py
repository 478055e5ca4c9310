"""Addresses of the API: `/api/builds/…`, and its schema at `/api/schema/`."""

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework.routers import SimpleRouter

from buildlog.ahead.api import Baselines, ChangesSheet
from buildlog.along.api import WorkOrder
from buildlog.api.views import TasksWithMaterial, start
from buildlog.journal.api import Entries, Photos
from buildlog.lists.api import Lists
from buildlog.materials import api as materials
from buildlog.money.api import CostSheet, StandingCosts
from buildlog.supporters import api as supporters
from tasks.api import views as plan
from tasks.api.checks import ChecksSheet

builds = SimpleRouter()
builds.register("builds", plan.Builds, basename="api-build")

rows = SimpleRouter()
for name, endpoint in {
    "crew": plan.CrewRows,
    "stages": plan.Stages,
    "tasks": TasksWithMaterial,
    "links": plan.Links,
    "shop-hours": plan.ShopHoursRows,
    "days-off": plan.DaysOff,
    "help-days": plan.HelpDays,
    "things": plan.Things,
    "task-things": plan.TaskThings,
    "work-limits": plan.WorkLimits,
    "work": plan.WorkRows,
    "plan": plan.PlanSheet,
    "checks": ChecksSheet,
    "order": WorkOrder,
    "baselines": Baselines,
    "changes": ChangesSheet,
    "suppliers": materials.Suppliers,
    "materials": materials.Materials,
    "prices": materials.Prices,
    "parts": materials.Parts,
    "stock-moves": materials.StockMoves,
    "purchases": materials.Purchases,
    "needs": materials.NeedsSheet,
    "standing-costs": StandingCosts,
    "cost": CostSheet,
    "entries": Entries,
    "photos": Photos,
    "supporters": supporters.Supporters,
    "contributions": supporters.Contributions,
    "updates": supporters.Updates,
    "lists": Lists,
}.items():
    rows.register(name, endpoint, basename=f"api-{name}")

urlpatterns = [
    path("", start, name="api"),
    path("schema/", SpectacularJSONAPIView.as_view(), name="api-schema"),
    path("", include(builds.urls)),
    path("builds/<slug:slug>/", include(rows.urls)),
]
