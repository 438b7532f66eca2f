"""Bloom noted by one tap, put right, taken back; pollen put by and used up."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest

from breeding.blooming import forget, in_store, the_bloom
from breeding.models import Bloom, BreedingVersion, Pollen
from breeding.pages.bloomdays import LONGEST
from breeding.records import correct_bloom, finish_pollen, note_bloom, store_pollen
from garden.models import Garden, JournalLine, Plant
from garden.records import undo
from garden.verbs import Refused
from tests.cast import Acts, Stock
from tests.refusals import refused

pytestmark = pytest.mark.django_db

OPENED, PEAKED, OVER = date(2026, 5, 12), date(2026, 5, 16), date(2026, 5, 24)
STAGES = (("first", OPENED), ("peak", PEAKED), ("last", OVER))


def noted(act: Acts, plant: Plant, *stages: tuple[str, date]) -> Bloom:
    """The plant's bloom after these taps, each on its day."""
    for stage, day in stages:
        bloom = note_bloom(act(day=day), plant=plant, stage=stage).thing
    return bloom


def strike(plant: Plant) -> None:
    Plant.objects.filter(pk=plant.pk).update(struck=True)


@pytest.fixture
def bloom(act: Acts, stock: Stock) -> Bloom:
    """A whole bloom of the teapot."""
    return noted(act, stock.teapot, *STAGES)


@pytest.fixture
def jar(act: Acts, stock: Stock) -> Pollen:
    return store_pollen(act(day=PEAKED), plant=stock.ledger, place="Freezer, blue box").thing


def test_note_bloom__one_tap_after_the_other_fills_one_season(act: Acts, stock: Stock) -> None:
    said, asked = [], ["first"]
    for stage, day in STAGES:
        kept = note_bloom(act(day=day), plant=stock.teapot, stage=stage)
        said.append(kept.line.text)
        asked.append(kept.thing.next_stage)
    assert asked == ["first", "peak", "last", ""]
    bloom = Bloom.live.get()
    assert (bloom.season, bloom.first_on, bloom.peak_on, bloom.last_on) == (
        2026, OPENED, PEAKED, OVER,
    )  # fmt: skip
    assert said == [
        "Quillon Teapot opened its first flower (12 May 2026)",
        "Quillon Teapot is at its peak (16 May 2026)",
        "Quillon Teapot is over (24 May 2026)",
    ]


def test_note_bloom__a_day_chosen_later_stands_for_the_day_of_the_tap(
    act: Acts, stock: Stock
) -> None:
    kept = note_bloom(act(day=PEAKED), plant=stock.teapot, stage="first", day=OPENED)
    assert kept.thing.first_on == OPENED
    assert kept.line.text.endswith("(12 May 2026)")


def test_note_bloom__each_season_has_its_own(act: Acts, stock: Stock) -> None:
    for year in (2025, 2026):
        noted(act, stock.teapot, ("first", date(year, 5, 12)))
    assert list(Bloom.live.values_list("season", flat=True)) == [2026, 2025]


def test_note_bloom__in_the_south_the_season_runs_from_july(act: Acts, stock: Stock) -> None:
    Garden.objects.update(hemisphere="S")
    bloom = noted(act, stock.teapot, ("first", date(2025, 12, 12)), ("last", date(2026, 1, 2)))
    assert (bloom.season, Bloom.live.count()) == (2025, 1)


def test_note_bloom__an_end_without_a_beginning_is_kept(act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock.teapot, ("last", OVER))
    assert (bloom.first_on, bloom.last_on, bloom.next_stage) == (None, OVER, "")


def test_note_bloom__a_peak_missed_may_be_passed_over(act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock.teapot, ("first", OPENED), ("last", OVER))
    assert (bloom.peak_on, bloom.next_stage) == (None, "")


def test_note_bloom__all_stages_may_fall_on_one_day(act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock.teapot, *((stage, OPENED) for stage, _ in STAGES))
    assert {bloom.first_on, bloom.peak_on, bloom.last_on} == {OPENED}


def test_note_bloom__the_same_entry_twice_is_one_note(act: Acts, stock: Stock) -> None:
    entry = uuid4()
    first, again = (
        note_bloom(act(day=OPENED, entry=entry), plant=stock.teapot, stage="first")
        for _ in range(2)
    )
    assert (first.again, again.again) == (False, True)
    assert first.line == again.line
    assert Bloom.objects.count() == 1
    with pytest.raises(Refused, match="other words"):
        note_bloom(act(day=OPENED, entry=entry), plant=stock.teapot, stage="peak")


def test_note_bloom__moves_the_version_so_that_sums_are_made_again(act: Acts, stock: Stock) -> None:
    before = BreedingVersion.now()
    noted(act, stock.teapot, ("first", OPENED))
    once = BreedingVersion.now()
    undo(act(), line=JournalLine.objects.latest("id"))
    copies, blooms = zip(before, once, BreedingVersion.now(), strict=True)
    assert len(set(copies)) == 1 or before == (0, 0)
    assert list(blooms) == sorted(set(blooms))


@pytest.mark.parametrize("stage", ["", "bud", "Peak", "first_on"])
def test_note_bloom__refuses_a_stage_that_there_is_not(act: Acts, stock: Stock, stage: str) -> None:
    words = "Choose first flower, peak or over"
    refused(note_bloom, act(day=OPENED), words, "stage", plant=stock.teapot, stage=stage)
    assert not Bloom.objects.exists()


@pytest.mark.parametrize(("stage", "day"), STAGES)
def test_note_bloom__refuses_what_is_noted_already(
    act: Acts, stock: Stock, bloom: Bloom, stage: str, day: date
) -> None:
    words = rf"Quillon Teapot .+ on {day.day} May 2026: that is noted already"
    refused(note_bloom, act(day=date(2026, 6, 1)), words, "stage", plant=stock.teapot, stage=stage)


def test_note_bloom__refuses_a_later_stage_before_an_earlier_one(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("first", PEAKED))
    words = "The peak on 12 May 2026 is before first flower on 16 May 2026"
    doing = {"plant": stock.teapot, "stage": "peak", "day": OPENED}
    refused(note_bloom, act(day=OVER), words, "day", **doing)


def test_note_bloom__refuses_an_earlier_stage_after_a_later_one(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("peak", PEAKED))
    words = "The peak on 16 May 2026 is before first flower on 24 May 2026"
    refused(note_bloom, act(day=OVER), words, "day", plant=stock.teapot, stage="first")


def test_note_bloom__refuses_an_end_before_the_first_flower(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("first", PEAKED))
    words = "The end of bloom on 12 May 2026 is before first flower"
    doing = {"plant": stock.teapot, "stage": "last", "day": OPENED}
    refused(note_bloom, act(day=OVER), words, "day", **doing)


@pytest.mark.parametrize(
    ("day", "words"),
    [(date(2026, 6, 1), "has not come yet"), (date(1899, 5, 1), "too long ago")],
)
def test_note_bloom__refuses_days_that_cannot_be_meant(
    act: Acts, stock: Stock, day: date, words: str
) -> None:
    doing = {"plant": stock.teapot, "stage": "first", "day": day}
    refused(note_bloom, act(day=OPENED), words, "day", **doing)


@pytest.mark.parametrize(
    ("noted_first", "stage", "day", "words"),
    [
        ("first", "last", date(2026, 11, 28), "From first flower on 12 May 2026 to end of bloom on "
         "28 November 2026 are 28 weeks: no iris is open so long. Choose the day"),
        ("first", "peak", date(2026, 6, 24), "to peak on 24 June 2026 are 6 weeks"),
        ("peak", "last", date(2026, 8, 1), "From peak on 12 May 2026 to end of bloom on 1 August"),
    ],
)  # fmt: skip
def test_note_bloom__refuses_days_further_apart_than_any_iris_is_open(
    act: Acts, stock: Stock, noted_first: str, stage: str, day: date, words: str
) -> None:
    bloom = noted(act, stock.teapot, (noted_first, OPENED))
    refused(note_bloom, act(day=day), words, "day", plant=stock.teapot, stage=stage)
    bloom.refresh_from_db()
    assert bloom.last_on is None


def test_note_bloom__six_weeks_are_taken(act: Acts, stock: Stock) -> None:
    over = OPENED + LONGEST
    assert noted(act, stock.teapot, ("first", OPENED), ("last", over)).last_on == over


def test_note_bloom__says_of_one_that_blooms_again_what_its_days_are(
    act: Acts, stock: Stock
) -> None:
    Plant.objects.filter(pk=stock.teapot.pk).update(rebloom=True)
    noted(act, stock.teapot, ("first", OPENED))
    words = "Its days here are those of the first bloom"
    for stage, field in (("first", "stage"), ("last", "day")):
        autumn = act(day=date(2026, 9, 20))
        refused(note_bloom, autumn, words, field, plant=stock.teapot, stage=stage)


def test_correct_bloom__refuses_days_further_apart_than_any_iris_is_open(
    act: Acts, bloom: Bloom
) -> None:
    doing = {"bloom": bloom, "reason": "a slip", "first_on": OPENED, "last_on": date(2026, 8, 1)}
    refused(correct_bloom, act(day=date(2026, 8, 2)), "no iris is open so long", "last_on", **doing)


def test_the_bloom__leaves_out_of_its_sums_what_no_iris_does(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("first", OPENED))
    noted(act, stock.ledger, ("first", OPENED), ("last", OVER))
    before = the_bloom(Garden.get(), OVER).flowering.place(stock.teapot.pk)
    Bloom.objects.filter(plant=stock.teapot).update(last_on=date(2026, 11, 28))
    forget()
    after = the_bloom(Garden.get(), OVER).flowering.place(stock.teapot.pk)
    assert after == before
    Bloom.objects.filter(plant=stock.teapot).update(last_on=OVER)
    forget()
    assert the_bloom(Garden.get(), OVER).flowering.place(stock.teapot.pk) != before


def test_note_bloom__refuses_a_plant_struck_out(act: Acts, stock: Stock) -> None:
    strike(stock.teapot)
    words = "Quillon Teapot was struck out of the stock"
    refused(note_bloom, act(day=OPENED), words, "plant", plant=stock.teapot, stage="first")


def test_note_bloom__refuses_a_visitor(act: Acts, stock: Stock, visitor) -> None:
    doing = {"plant": stock.teapot, "stage": "first"}
    refused(note_bloom, act(visitor, OPENED), "Visitors read", **doing)


def test_note_bloom__undone_leaves_the_stage_before(act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock.teapot, *STAGES)
    for left in ("last", "peak"):
        undo(act(), line=JournalLine.objects.filter(undoes=None, undone_by=None).latest("id"))
        bloom.refresh_from_db()
        assert bloom.next_stage == left
    undo(act(), line=JournalLine.objects.filter(undoes=None, undone_by=None).latest("id"))
    assert not Bloom.live.exists()
    assert Bloom.objects.count() == 1


def test_note_bloom__undone_may_be_noted_anew(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("first", OPENED))
    undo(act(), line=JournalLine.objects.latest("id"))
    noted(act, stock.teapot, ("first", PEAKED))
    assert Bloom.live.get().first_on == PEAKED


def test_note_bloom__the_journal_speaks_of_the_plant(act: Acts, stock: Stock) -> None:
    noted(act, stock.teapot, ("first", OPENED))
    line = JournalLine.objects.latest("id")
    assert line.mentions.filter(kind="garden.plant", thing_id=stock.teapot.pk).exists()


def test_correct_bloom__puts_days_right_and_takes_one_out(act: Acts, bloom: Bloom) -> None:
    kept = correct_bloom(
        act(day=OVER), bloom=bloom, reason="the label next to it",
        first_on=date(2026, 5, 13), peak_on=None, last_on=OVER,
    )  # fmt: skip
    assert kept.line.text == "Corrected the bloom of Quillon Teapot in 2026"
    assert kept.line.reason == "the label next to it"
    bloom.refresh_from_db()
    assert (bloom.first_on, bloom.peak_on, bloom.last_on) == (date(2026, 5, 13), None, OVER)


def test_correct_bloom__undone_brings_the_days_back(act: Acts, bloom: Bloom) -> None:
    kept = correct_bloom(act(day=OVER), bloom=bloom, reason="a slip", first_on=OPENED)
    undo(act(day=OVER), line=kept.line)
    bloom.refresh_from_db()
    assert (bloom.first_on, bloom.peak_on, bloom.last_on) == (OPENED, PEAKED, OVER)


def test_correct_bloom__the_same_entry_twice_is_one_correction(act: Acts, bloom: Bloom) -> None:
    entry = uuid4()
    lines = {
        correct_bloom(act(day=OVER, entry=entry), bloom=bloom, reason="a slip", first_on=OPENED)
        .line.pk
        for _ in range(2)
    }  # fmt: skip
    assert len(lines) == 1


@pytest.mark.parametrize(
    ("days", "reason", "words", "field"),
    [
        ({"first_on": OPENED}, "", "Write why it is corrected", "reason"),
        ({"first_on": OPENED}, "x" * 401, "At most|too long|400", "reason"),
        ({}, "a slip", "one day at least stays", "first_on"),
        ({"first_on": date(2025, 5, 12)}, "a slip", "not in the season 2026", "first_on"),
        ({"last_on": date(2025, 12, 31)}, "a slip", "not in the season 2026", "last_on"),
        ({"first_on": PEAKED, "peak_on": OPENED}, "a slip", "is before first", "peak_on"),
        ({"peak_on": OVER, "last_on": PEAKED}, "a slip", "is before peak", "last_on"),
        ({"first_on": date(2026, 5, 30)}, "a slip", "has not come yet", "first_on"),
        ({"first_on": OPENED, "peak_on": PEAKED, "last_on": OVER}, "a slip", "Nothing was", ""),
    ],
)
def test_correct_bloom__refuses(
    act: Acts, bloom: Bloom, days: dict[str, date], reason: str, words: str, field: str
) -> None:
    refused(correct_bloom, act(day=OVER), words, field, bloom=bloom, reason=reason, **days)
    bloom.refresh_from_db()
    assert bloom.first_on == OPENED


def test_correct_bloom__refuses_one_struck_out(act: Acts, stock: Stock) -> None:
    bloom = noted(act, stock.teapot, ("first", OPENED))
    undo(act(), line=JournalLine.objects.latest("id"))
    words = "nothing to correct"
    refused(correct_bloom, act(), words, bloom=bloom, reason="a slip", first_on=PEAKED)


def test_store_pollen__says_where_and_until_when(act: Acts, stock: Stock) -> None:
    use_by = date(2027, 6, 30)
    kept = store_pollen(
        act(day=PEAKED), plant=stock.ledger, place="  Freezer,  blue box ", use_by=use_by,
        note="of three flowers",
    )  # fmt: skip
    jar = kept.thing
    assert (jar.plant, jar.taken_on, jar.use_by) == (stock.ledger, PEAKED, use_by)
    assert kept.line.text.startswith("Put pollen of Marzipan Ledger by: Freezer,")
    assert Pollen.live.get().note == "of three flowers"


@pytest.mark.parametrize(
    ("sent", "words", "field"),
    [
        ({"place": ""}, "Write where it is kept", "place"),
        ({"place": "  "}, "Write where it is kept", "place"),
        ({"place": "x" * 81}, "80", "place"),
        ({"note": "x" * 401}, "400", "note"),
        ({"use_by": OPENED}, "12 May 2026 is before it was taken", "use_by"),
        ({"day": date(2026, 6, 30)}, "has not come yet", "day"),
    ],
)
def test_store_pollen__refuses(act: Acts, stock: Stock, sent: dict, words: str, field: str) -> None:
    values = {"plant": stock.ledger, "place": "Freezer", **sent}
    refused(store_pollen, act(day=PEAKED), words, field, **values)


def test_store_pollen__refuses_a_plant_struck_out(act: Acts, stock: Stock) -> None:
    strike(stock.ledger)
    doing = {"plant": stock.ledger, "place": "Freezer"}
    refused(store_pollen, act(day=PEAKED), "was struck out of the stock", "plant", **doing)


def test_store_pollen__the_same_entry_twice_is_one_jar(act: Acts, stock: Stock) -> None:
    entry = uuid4()
    for _ in range(2):
        store_pollen(act(day=PEAKED, entry=entry), plant=stock.ledger, place="Freezer")
    assert Pollen.objects.count() == 1


def test_store_pollen__undone_is_no_jar_any_more(act: Acts, jar: Pollen) -> None:
    undo(act(), line=JournalLine.objects.latest("id"))
    assert not Pollen.live.exists()


@pytest.mark.parametrize(
    ("taken", "use_by", "there"),
    [
        (date(2020, 5, 20), None, False),
        (date(2024, 5, 17), None, True),
        (date(2024, 5, 16), None, False),
        (date(2020, 5, 20), PEAKED, True),
        (date(2025, 5, 20), OPENED, False),
    ],
)
def test_in_store__pollen_past_its_day_or_years_old_is_not_counted_on(
    act: Acts, stock: Stock, taken: date, use_by: date | None, there: bool
) -> None:
    store_pollen(act(day=taken), plant=stock.ledger, place="Fridge", use_by=use_by)
    assert (stock.ledger.pk in in_store(PEAKED)) == there


def test_finish_pollen__says_what_became_of_it_and_is_undone(act: Acts, jar: Pollen) -> None:
    kept = finish_pollen(act(day=OVER), pollen=jar, reason="used up")
    assert kept.line.text == "Pollen of Marzipan Ledger finished: used up (24 May 2026)"
    assert (kept.thing.ended_on, kept.thing.ended_reason) == (OVER, "used up")
    undo(act(day=OVER), line=kept.line)
    jar.refresh_from_db()
    assert (jar.ended_on, jar.ended_reason) == (None, "")


@pytest.mark.parametrize(
    ("sent", "words", "field"),
    [
        ({"reason": ""}, "Write what became of it", "reason"),
        ({"reason": "x" * 201}, "200", "reason"),
        ({"day": OPENED}, "It was taken on 16 May 2026", "day"),
        ({"day": date(2026, 6, 30)}, "has not come yet", "day"),
    ],
)
def test_finish_pollen__refuses(act: Acts, jar: Pollen, sent: dict, words: str, field: str) -> None:
    refused(finish_pollen, act(day=OVER), words, field, pollen=jar, **{"reason": "used up", **sent})


def test_finish_pollen__refuses_what_is_finished(act: Acts, jar: Pollen) -> None:
    finish_pollen(act(day=OVER), pollen=jar, reason="used up")
    words = "finished on 24 May 2026: used up"
    refused(finish_pollen, act(day=OVER), words, pollen=jar, reason="too old")


def test_finish_pollen__refuses_what_was_struck_out(act: Acts, jar: Pollen) -> None:
    undo(act(), line=JournalLine.objects.latest("id"))
    refused(finish_pollen, act(day=OVER), "was struck out", pollen=jar, reason="used up")


def test_finish_pollen__the_same_entry_twice_is_kept_once(act: Acts, jar: Pollen) -> None:
    entry = uuid4()
    lines = {
        finish_pollen(act(day=OVER, entry=entry), pollen=jar, reason="used up").line.pk
        for _ in range(2)
    }
    assert len(lines) == 1


def test_the_first_note_is_not_undone_under_a_later_one(act, stock) -> None:
    first = note_bloom(act(), plant=stock.teapot, stage="first", day=date(2026, 5, 18))
    peak = note_bloom(act(), plant=stock.teapot, stage="peak", day=date(2026, 5, 20))
    refused(undo, act(), "another day of its bloom is noted", line=first.line)
    undo(act(), line=peak.line)
    undo(act(), line=first.line)
    assert not Bloom.live.exists()
