"""What the list of phones asks and says, names told apart, addresses that a phone would trust."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import Client, RequestFactory
from django.urls import reverse

from garden import doorway
from garden.certificates import open_authority
from garden.doorway import only_by_name, sites_for_a_phone
from garden.models import Device, Person
from tests.cast import PASSWORD
from tests.pages import tree

IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X)"


def came_in(name: str) -> Client:
    client = Client(headers={"User-Agent": IPHONE})
    assert client.post(
        reverse("sign-in"), {"username": name, "password": PASSWORD}
    ).status_code == 302  # fmt: skip
    return client


@pytest.mark.django_db
def test_equal_names__are_numbered_while_they_are_in(owner: Person, helper_person: Person) -> None:
    first, _, _ = (came_in("Emil") for _ in range(3))
    came_in("Wanda")
    names = list(Device.objects.order_by("pk").values_list("name", flat=True))
    assert names == ["iPhone", "iPhone 2", "iPhone 3", "iPhone"]
    first.post(reverse("sign-out"))
    came_in("Emil")
    assert Device.objects.latest("pk").name == "iPhone"


@pytest.mark.django_db
def test_long_equal_names__stay_within_their_length(owner: Person) -> None:
    came_in(owner.name)
    Device.objects.update(name="x" * 60)
    named = doorway.numbered(owner, "x" * 90)
    assert len(named) <= 60
    assert named.endswith(" 2")


@pytest.mark.django_db
def test_sign_it_out__is_asked_first_and_says_what_it_cannot_reach(
    owner: Person, helper_person: Person
) -> None:
    came_in("Emil")
    page = tree(came_in("Wanda").get(reverse("phones")))
    [form] = page.cssselect("table.devices form")
    # Shut until somebody opens it.
    assert form.getparent().tag == "details"
    assert form.getparent().get("open") is None
    assert "Sign iPhone of Emil out?" in form.getparent().text_content()
    assert "keeps what it has until then" in page.text_content()


@pytest.fixture
def asked(rf: RequestFactory, settings: Any, tmp_path: Path, monkeypatch: Any) -> Any:
    """A request at the laptop itself, over https, with an authority for millrace.local."""
    settings.DATA_DIR, settings.TRUST_PORT = tmp_path, 8001
    settings.ALLOWED_HOSTS = ["*"]
    open_authority(tmp_path, "millrace.local")
    monkeypatch.setattr(doorway, "local_name", lambda: "millrace.local")

    def ask(*addresses: str, secure: bool = True, host: str = "localhost:8000") -> list[str]:
        monkeypatch.setattr(doorway, "home_addresses", lambda: list(addresses))
        request = rf.get("/", secure=secure, headers={"Host": host})
        request.user = AnonymousUser()
        return sites_for_a_phone(request)

    return ask


def test_addresses__that_the_certificate_does_not_cover_are_not_offered(asked: Any) -> None:
    name, home = "https://millrace.local:8000", "https://192.168.7.9:8000"
    assert asked("192.168.7.9", "198.18.0.4") == [name, home]
    assert not only_by_name([name, home])
    assert asked("198.18.0.4") == [name]
    assert only_by_name([name])
    # Opened at an address that no phone would trust: the covered ones stand instead.
    assert asked("192.168.7.9", host="198.18.0.4:8000") == [name, home]
    assert asked("198.18.0.4", secure=False)[0] == "http://198.18.0.4:8000"


def test_name__of_another_computer_is_not_offered(asked: Any, monkeypatch: Any) -> None:
    monkeypatch.setattr(doorway, "local_name", lambda: "weir.local")
    assert asked("192.168.7.9") == ["https://192.168.7.9:8000"]
