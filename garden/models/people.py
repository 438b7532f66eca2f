"""The people of the garden."""

from __future__ import annotations

import secrets

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

from garden.models.facts import Recorded
from garden.names import tidy


def new_feed_key() -> str:
    """128 unguessable bits for a calendar's address."""
    return secrets.token_urlsafe(16)


class PersonManager(BaseUserManager):
    def create_user(self, name: str, password: str | None = None, role: str = "helper") -> Person:
        """Make a person; a missing password means that nobody can sign in as them yet."""
        person = self.model(name=name, role=role)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, name: str | None) -> Person:
        return self.get(name__iexact=tidy(name or ""))


class Person(Recorded, AbstractBaseUser):
    """Somebody who signs in: owner, helper (records) or visitor (reads)."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        HELPER = "helper", "Helper (records)"
        VISITOR = "visitor", "Visitor (reads)"

    name = models.CharField(max_length=60, unique=True)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.HELPER)
    is_active = models.BooleanField(default=True)
    feed_key = models.CharField(max_length=43, unique=True, default=new_feed_key)

    USERNAME_FIELD = "name"

    objects = PersonManager()

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="person_name_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def is_owner(self) -> bool:
        return self.role == self.Role.OWNER

    def misfit(self) -> tuple[str, str] | None:
        """Somebody has to be able to let others in. A query."""
        if Person.objects.filter(role=self.Role.OWNER, is_active=True).exists():
            return None
        return "The garden needs an owner who can sign in.", "role"

    @property
    def may_record(self) -> bool:
        return self.is_active and self.role in (self.Role.OWNER, self.Role.HELPER)
