"""Fields that several forms share: words of a bounded length, days of the year, inches."""

from __future__ import annotations

import calendar
import re
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from garden.calendar import MonthDay

CM_PER_INCH = 2.54
# Both ways round: '25 November', 'Nov 25'. Three letters tell every month.
DAY_FIRST = re.compile(r"(\d{1,2})\.?\s*([a-z]{3})[a-z]*\.?", re.IGNORECASE)
MONTH_FIRST = re.compile(r"([a-z]{3})[a-z]*\.?\s*(\d{1,2})", re.IGNORECASE)
CHANCE = re.compile(r"([0-9]{1,9}(?:\.[0-9]{0,20})?)(?:/([0-9]{1,9})|(%))?")
MONTHS = {name[:3].lower(): number for number, name in enumerate(calendar.month_name) if name}


class Words(forms.CharField):
    """A line of text that says in the gardener's words when it is too long."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        super().__init__(**kwargs)
        self.error_messages["required"] = "Something must stand here."
        self.error_messages["max_length"] = (
            "At most %(limit_value)d letters; these are %(show_value)d."
        )
        # The browser would cut a pasted text short without a word.
        self.widget.attrs.pop("maxlength", None)


class LongWords(Words):
    """Several lines of text."""

    def __init__(self, rows: int = 3, **kwargs: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": rows, "class": "inp"}), **kwargs)
        self.widget.attrs.pop("maxlength", None)


class YearDay(forms.CharField):
    """A day that comes back every year: typed as '25 November', kept as '11-25'."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=40, **kwargs)
        self.widget.attrs.pop("maxlength", None)

    def prepare_value(self, value: Any) -> Any:
        try:
            return MonthDay.parse(value or "").words()
        except ValueError:
            return value

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        try:
            return str(month_day(text))
        except ValueError:
            raise forms.ValidationError("Write a day and month, for example 25 November.") from None


def month_day(text: str) -> MonthDay:
    """Read '25 November', 'Nov 25' or '11-25'; raise ValueError for anything else."""
    text = text.strip()
    if found := DAY_FIRST.fullmatch(text):
        day, month = found[1], found[2]
    elif found := MONTH_FIRST.fullmatch(text):
        day, month = found[2], found[1]
    else:
        return MonthDay.parse(text)
    return MonthDay.parse(f"{MONTHS.get(month.lower(), 0)}-{day}")


class Inches(forms.DecimalField):
    """A height in inches, halves allowed; the record keeps centimetres."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=Decimal("0.5"), max_value=Decimal(98), **kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.error_messages["invalid"] = "Write the height in inches, for example 36 or 36.5."
        range_ = "The height in inches must be from 0.5 to 98."
        self.error_messages |= {"min_value": range_, "max_value": range_}

    def to_python(self, value: Any) -> Decimal | None:
        text = str(value if value is not None else "").strip().replace(",", ".")
        return super().to_python(text.removesuffix("in").rstrip('″" '))


class Chance(forms.CharField):
    """A chance from 0 to `most`, typed as 0.1, 0,1, 10 % or 1/7."""

    def __init__(self, most: float, **kwargs: Any) -> None:
        super().__init__(max_length=40, **kwargs)
        self.most = most
        self.widget.attrs.pop("maxlength", None)
        self.widget.attrs |= {"inputmode": "text", "autocomplete": "off", "class": "inp inp--num"}

    def prepare_value(self, value: Any) -> Any:
        """Simple fractions as such, others in all their digits, so that nothing is rounded."""
        if not isinstance(value, float):
            return value
        simple = Fraction(value).limit_denominator(12)
        return str(simple) if float(simple) == value else repr(value)

    def clean(self, value: Any) -> float:
        text = super().clean(value).replace(" ", "").replace(",", ".")
        found = CHANCE.fullmatch(text)
        if not found or (found[2] and not int(found[2])):
            raise forms.ValidationError("Write a number such as 0, 0.1 or 1/7.")
        chance = float(found[1]) / (int(found[2]) if found[2] else 100 if found[3] else 1)
        # 0.1667 is meant as one in six.
        if self.most < chance < self.most + 5e-4:
            chance = self.most
        if chance > self.most:
            most = Fraction(self.most).limit_denominator(12)
            raise forms.ValidationError(f"It lies between 0 and {most}.")
        return chance


def in_inches(centimetres: int | None) -> str:
    """Centimetres as half inches, as they are shown: 92 gives '36'."""
    return f"{round(centimetres / CM_PER_INCH * 2) / 2:g}" if centimetres else ""


def in_centimetres(inches: Decimal | None) -> int | None:
    """Whole centimetres of a height in inches."""
    return max(1, round(float(inches) * CM_PER_INCH)) if inches is not None else None
