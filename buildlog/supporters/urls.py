from django.urls import include, path

from buildlog.supporters import outside_urls
from buildlog.supporters.views import page, people, updates

urlpatterns = [
    path("supporters/", people.supporters, name="supporters"),
    path("supporters/add/", people.add_supporter, name="add-supporter"),
    path("supporters/<int:pk>/", people.supporter, name="supporter"),
    path("supporters/<int:pk>/delete/", people.delete_supporter, name="delete-supporter"),
    path("supporters/<int:pk>/add/", people.add_contribution, name="add-contribution"),
    path(
        "supporters/contributions/<int:pk>/delete/",
        people.delete_contribution,
        name="delete-contribution",
    ),
    path("supporters/updates/", updates.updates, name="updates"),
    path("supporters/updates/add/", updates.add_update, name="add-update"),
    path("supporters/updates/<int:pk>/", updates.update, name="update"),
    path("supporters/updates/<int:pk>/delete/", updates.delete_update, name="delete-update"),
    path("supporters/updates/<int:pk>/photos/", updates.update_photos, name="update-photos"),
    path(
        "supporters/updates/<int:pk>/show/",
        updates.show_update,
        {"shown": True},
        name="show-update",
    ),
    path(
        "supporters/updates/<int:pk>/take-back/",
        updates.show_update,
        {"shown": False},
        name="take-back-update",
    ),
    path("supporters/photos/", updates.shown_photos, name="shown-photos"),
    path(
        "supporters/photos/<int:pk>/show/", updates.show_photo, {"shown": True}, name="show-photo"
    ),
    path(
        "supporters/photos/<int:pk>/take-back/",
        updates.show_photo,
        {"shown": False},
        name="take-back-photo",
    ),
    path("supporters/page/", page.public_page, name="public-page"),
    path("supporters/page/address/", page.new_address, name="new-address"),
    path("supporters/page/on/", page.switch, {"shown": True}, name="switch-page-on"),
    path("supporters/page/off/", page.switch, {"shown": False}, name="switch-page-off"),
    path("supporters/page/preview/", include(outside_urls.for_owner)),
]
