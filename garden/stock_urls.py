"""Addresses of the stock and of the house."""

from __future__ import annotations

from django.urls import include, path, re_path

from garden.views import backups, beds, house, importing, journal, photos, plants

PHOTO_FILE = r"^photos/(?P<digest>[0-9a-f]{64})/(?P<size>large|middle|small)\.jpg$"

urlpatterns = [
    path("book/", house.book, name="book"),
    path("plants/", plants.stock, name="plants"),
    path("plants/new/", plants.new, name="plant-new"),
    path("plants/import/", importing.take_in, name="plant-import"),
    path("plants/import/example.csv", importing.example, name="plant-import-example"),
    path("plants/offer/<str:side>/", plants.offer, name="plant-offer"),
    path("plants/<int:pk>/change/", plants.change, name="plant-change"),
    path("plants/<int:pk>/place/", plants.place, name="plant-place"),
    path("places/<int:pk>/correct/", plants.correct_place, name="placing-correct"),
    path("plants/<int:pk>/strike/", plants.strike, name="plant-strike"),
    path("plants/<int:pk>/photo/", photos.new, name="photo-new"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/correct/", photos.correct, name="photo-correct"),
    path("photos/<int:pk>/strike/", photos.strike, name="photo-strike"),
    re_path(PHOTO_FILE, photos.photo_file, name="photo-file"),
    path("flowers/preview/", plants.preview, name="flower-preview"),
    path("beds/", beds.beds, name="beds"),
    path("beds/new/", beds.new, name="bed-new"),
    path("beds/<int:pk>/", beds.bed, name="bed"),
    path("beds/<int:pk>/change/", beds.change, name="bed-change"),
    path("people/", house.people, name="people"),
    path("people/new/", house.new_person, name="person-new"),
    path("people/<int:pk>/change/", house.change_somebody, name="person-change"),
    path("password/", house.password, name="password"),
    path("settings/", house.settings, name="garden-settings"),
    path("journal/", journal.journal, name="journal"),
    path("backups/", backups.all_backups, name="backups"),
    path("backups/now/", backups.make_one, name="backup-now"),
    path("backups/<str:name>", backups.backup_file, name="backup-file"),
    path("", include("garden.label_urls")),
    path("", include("garden.increase_urls")),
]
