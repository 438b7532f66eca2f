"""Verbs of photos: put one to a plant, correct what is said of it, strike it out."""

from __future__ import annotations

from datetime import date

from garden.models import Photo, Plant
from garden.models.photos import the_shelf
from garden.photos import CleanPhoto
from garden.verbs import Act, Refused, verb, written


@verb
def add_photo(
    act: Act, *, plant: Plant, photo: CleanPhoto, caption: str = "", day: date | None = None
) -> tuple[Photo, str]:
    """Put a photo to a plant. `day` is when it was taken; else the day that its camera told."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.")
    if Photo.live.filter(plant=plant, digest=photo.digest).exists():
        raise Refused(f"This photo of {plant} is kept already.", "photo")
    kept = keep_photo(act, photo, plant=plant, caption=caption, day=day)
    act.mention(plant)
    return kept, f"Photo of {plant}{':' if kept.caption else ''} {_told(kept)}".strip()


def keep_photo(
    act: Act,
    photo: CleanPhoto,
    *,
    plant: Plant | None = None,
    caption: str = "",
    day: date | None = None,
) -> Photo:
    """Keep a photo within another verb's act: its files on the shelf, its row by `act.make`.

    The verb must have the photo among its values, so that the entry's digest holds it.
    """
    taken_on = act.day(day) if day else photo.taken_on
    if taken_on and not day and taken_on > act.today:
        # A camera's clock is nobody's word.
        taken_on = None
    # Files first: a row without its picture would be worse than a picture without its row.
    the_shelf().keep(photo)
    return act.make(
        Photo(
            digest=photo.digest,
            width=photo.width,
            height=photo.height,
            taken_on=taken_on,
            caption=caption.strip(),
            plant=plant,
        )
    )


@verb
def correct_photo(
    act: Act, *, photo: Photo, caption: str, taken_on: date | None, reason: str = ""
) -> tuple[Photo, str]:
    """Correct the words under a photo and its day; the first words need no reason."""
    photo = _standing(photo)
    caption = caption.strip()
    if taken_on and taken_on != photo.taken_on:
        act.day(taken_on, "taken_on")
    lost = (photo.caption and caption != photo.caption) or (
        photo.taken_on and taken_on != photo.taken_on
    )
    act.reason = reason.strip()
    if lost and not act.reason:
        raise Refused("Write why it is corrected.", "reason")
    before = _told(photo) or "nothing"
    if not act.change(photo, caption=caption, taken_on=taken_on):
        raise Refused("Nothing was changed.")
    act.mention(photo.plant)
    of = f" of {photo.plant}" if photo.plant else ""
    return photo, f"Corrected the photo{of}: {before} → {_told(photo) or 'nothing'}"


@verb
def strike_photo(act: Act, *, photo: Photo, reason: str) -> tuple[Photo, str]:
    """Strike a photo out. Its files stay, so that it can come back; nobody is shown them."""
    photo = _standing(photo)
    act.reason = reason.strip()
    if not act.reason:
        raise Refused("Write why, in a few words.", "reason")
    act.change(photo, struck=True)
    act.mention(photo.plant)
    of = f" of {photo.plant}" if photo.plant else ""
    return photo, f"Struck out a photo{of}: {_told(photo)}".removesuffix(": ")


def _standing(photo: Photo) -> Photo:
    photo = Photo.objects.select_related("plant").get(pk=photo.pk)
    if photo.struck:
        raise Refused("This photo was struck out.")
    return photo


def _told(photo: Photo) -> str:
    """'the beard (3 June 2026)', as much of it as is known."""
    day = f"({written(photo.taken_on)})" if photo.taken_on else ""
    return " ".join(filter(None, [photo.caption, day]))
