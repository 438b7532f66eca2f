"""A hand that counts its taps."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import expect


class Hand:
    """Taps and types on a page; only taps are counted, as typing a few letters is free."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.taps = 0

    def tap(self, role: str, name: str, **more: Any) -> None:
        self.page.get_by_role(role, name=name, **more).first.tap()
        self.taps += 1

    def type_where_the_cursor_is(self, label: str, letters: str) -> None:
        """Type into the field that has the focus; it must be the one with that label."""
        field = self.page.get_by_role("textbox", name=label)
        expect(field).to_be_focused()
        self.page.keyboard.type(letters, delay=20)
