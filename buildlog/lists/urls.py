from django.urls import path, register_converter

from buildlog.lists import taking, views


class FormConverter:
    """csv or xlsx, at the end of an address."""

    regex = "|".join(taking.FORMS)

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(FormConverter, "listform")

urlpatterns = [
    path("lists/", views.lists, name="lists"),
    path("lists/<int:pk>/", views.look, name="list-look"),
    path("lists/<int:pk>/corrected/", views.corrected, name="list-corrected"),
    path("lists/<int:pk>/away/", views.throw_away, name="list-away"),
    path("lists/out/<slug:what>.<listform:form>", views.take_out, name="list-out"),
]
