"""The page that opens without the garden: the same for everybody who records, kept on the phone."""

from __future__ import annotations

from types import SimpleNamespace

from breeding.forms import (
    FAILURES,
    CountForm,
    HarvestForm,
    LineOutForm,
    PodForm,
    PollinationForm,
    SowForm,
)
from breeding.models import Cross, Pollination
from evaluation.forms.scoring import ScoreForm
from evaluation.forms.walking import GlanceForm
from evaluation.models import Rubric
from garden.forms.photos import AddPhotoForm
from garden.models import Bed

# What somebody does outdoors: (hash address, title, what it is about).
MENU = (
    ("cross", "New cross", "a flower worked"),
    ("pods", "Pod", "has it set?"),
    ("harvest", "Harvest", "seed into a cup"),
    ("cups", "Sowing", "from a cup"),
    ("pots", "Count", "seedlings up"),
    ("line-out", "Lining out", "into a row"),
    ("walk", "Look-over", "along a row"),
    ("score", "Score", "a seedling"),
    ("bloom", "Bloom", "open, peak, over"),
    ("photo", "Photo", "of a plant"),
)


def forms() -> SimpleNamespace:
    """The forms of the thread as the ordinary pages have them, empty: the phone fills them in."""
    of_no_pod = Pollination(cross=Cross(pk=0))
    made = {
        "cross": PollinationForm(),
        "look": PodForm(),
        "harvest": HarvestForm(pod=of_no_pod),
        "sow": SowForm(),
        "count": CountForm(),
        "line_out": LineOutForm(),
        "walk": GlanceForm(),
        # Without its marks: each rubric brings its own, by a list.
        "score": ScoreForm(rubric=Rubric(pk=0)),
        "photo": AddPhotoForm(),
    }
    made["line_out"].fields["bed"].queryset = Bed.objects.none()
    for form in made.values():
        # Each copy of a form gets an entry of its own on the phone.
        form.initial |= {"entry": "", "at": ""}
        for field in form.fields.values():
            if field.required and "required" in field.error_messages:
                field.widget.attrs["data-need"] = field.error_messages["required"]
    return SimpleNamespace(**made, failures=FAILURES)
