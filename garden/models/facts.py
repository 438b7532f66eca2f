"""What every recorded thing has in common: it can be struck out, never erased."""

from __future__ import annotations

from typing import Any

from django.db import models


class Recorded(models.Model):
    """A thing that verbs write and the journal speaks of."""

    # Whether a change makes lists of the stock that are kept in memory old.
    moves_stock = False

    class Meta:
        abstract = True

    @property
    def record_kind(self) -> str:
        """How the journal names this kind of thing, for example 'breeding.pollination'."""
        return self._meta.label_lower

    def root(self) -> Recorded:
        """The thing that keeps the sums which this one enters; itself by default. May query."""
        return self

    def misfit(self) -> tuple[str, str] | None:
        """Say what does not fit along this thing's thread, as (sentence, field). May query."""
        return None

    def after_change(self) -> None:
        """Bring up to date what is derived from this thing. Called by verbs on each root."""

    def values(self, names: list[str]) -> dict[str, Any]:
        """The named fields as the journal keeps them: plain values that JSON can hold."""
        plain = {}
        for name in names:
            field = self._meta.get_field(name)
            value = getattr(self, field.attname)
            keep = value is None or isinstance(value, str | int | float | bool)
            plain[name] = value if keep else field.value_to_string(self)
        return plain

    def put(self, name: str, value: Any) -> None:
        """Set a field from a value or from what `values` gave for it."""
        field = self._meta.get_field(name)
        if isinstance(value, models.Model):
            setattr(self, name, value)
        else:
            setattr(self, field.attname, field.to_python(value))


class LiveManager(models.Manager):
    """The facts that stand, without those struck out."""

    def get_queryset(self) -> models.QuerySet:
        return super().get_queryset().filter(struck=False)


class Fact(Recorded):
    """A line in the notebook. Undoing strikes it out; what was written stays in the journal."""

    struck = models.BooleanField(default=False)

    # Whether undoing what began it leaves it standing while other things hang on it.
    is_container = False

    objects = models.Manager()
    live = LiveManager()

    class Meta:
        abstract = True

    def dependants(self) -> str:
        """Say what hangs on this fact and forbids striking it out; '' if nothing. Queries."""
        for relation in self._meta.related_objects:
            if issubclass(relation.related_model, Fact):
                child = relation.related_model.live.filter(**{relation.field.name: self}).first()
                if child:
                    return f"{child._meta.verbose_name} {child} hangs on it"
        return ""

    def lost_support(self) -> str:
        """Name a thing that this one hangs on and that is struck out; '' if none. Queries."""
        for field in self._meta.fields:
            if field.is_relation and issubclass(field.related_model, Fact):
                support = getattr(self, field.name)
                if support is not None and support.struck:
                    return f"{support._meta.verbose_name} {support}"
        return ""
