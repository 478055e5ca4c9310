from django.urls import path, re_path

from buildlog.journal import (
    chosen_views,
    entry_views,
    photo_views,
    quick_views,
    upload_views,
)

urlpatterns = [
    path("log/", entry_views.log, name="log"),
    path("log/new/", entry_views.new, name="log-new"),
    path("log/quick/", quick_views.quick, name="log-quick"),
    path("log/<int:pk>/", entry_views.entry, name="log-entry"),
    path("log/<int:pk>/edit/", entry_views.edit, name="log-edit"),
    path("log/<int:pk>/delete/", entry_views.delete, name="log-delete"),
    path("photos/", photo_views.photos, name="photos"),
    path("photos/add/", upload_views.add, name="photos-add"),
    path("photos/waiting/", photo_views.waiting, name="photos-waiting"),
    path("photos/chosen/", chosen_views.chosen, name="photos-chosen"),
    path("photos/chosen/shift/", chosen_views.shift, name="photos-shift"),
    path("photos/chosen/shift-back/", chosen_views.shift_back, name="photos-shift-back"),
    path("photos/chosen/place/", chosen_views.place, name="photos-place"),
    path("photos/<int:pk>/", photo_views.photo, name="photo"),
    path("photos/<int:pk>/turn/", photo_views.turn, name="photo-turn"),
    path("photos/<int:pk>/again/", photo_views.make_again, name="photo-again"),
    path("photos/<int:pk>/delete/", photo_views.delete, name="photo-delete"),
    path("photos/<int:pk>/original/", photo_views.original, name="photo-original"),
    re_path(
        r"^photos/(?P<pk>\d{1,18})/(?P<long_side>\d{3,4})-(?P<sha256>[0-9a-f]{64})\.webp$",
        photo_views.rendition,
        name="photo-rendition",
    ),
]
