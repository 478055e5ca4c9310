from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tasks.access import in_build
from tasks.models import Build


@in_build("look")
def plan(request: HttpRequest, build: Build) -> HttpResponse:
    return render(request, "base.html", {"build": build, "sheet": "Plan"})


@in_build("look")
def task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return render(request, "base.html", {"build": build, "sheet": "Task"})
