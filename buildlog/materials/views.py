from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tasks.access import in_build
from tasks.models import Build


@in_build("look")
def materials(request: HttpRequest, build: Build) -> HttpResponse:
    return render(request, "base.html", {"build": build, "sheet": "Materials"})


@in_build("look")
def material(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return render(request, "base.html", {"build": build, "sheet": "Material"})
