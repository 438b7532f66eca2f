"""What a walk shows: the next position both ways, gaps passed over, stretches, what waits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from breeding.models import Row
from breeding.records import line_out
from evaluation.models import Candidate, LookOver, Rubric
from evaluation.records import clear_out, decide, glance, score
from evaluation.records.candidates import gone_from
from evaluation.records.looking import TAKEN_UP_WITHIN, open_walk
from evaluation.walked import next_stretch, stretches, took, walked, walks_along
from evaluation.walking import called_waiting, gone_of, known_of, progress, the_walk
from garden.models import Person
from garden.records import undo
from garden.verbs import Act
from tests.cast import IN_BLOOM, LINED_OUT, Acts, Cast, noon

pytestmark = pytest.mark.django_db
NEXT_DAY = IN_BLOOM + timedelta(days=1)


@pytest.fixture
def say(act: Acts, cast: Cast) -> Callable:
    """say(3, 'gap'): what the owner notes at positions of the row."""

    def noted(*positions: int, found: str = "nothing", by: Act | None = None, **more: object):
        for position in positions:
            kept = glance(by or act(), row=cast.row, position=position, found=found, **more)
        return kept

    return noted


def scored(by: Act, row: Row, position: int) -> Candidate:
    rubric = Rubric.live.get(purpose="walk", replaced_by=None)
    marks = {"flower": 4}
    return score(by, rubric=rubric, row=row, position=position, marks=marks).thing.candidate


@pytest.fixture
def second(act: Acts, cast: Cast) -> Row:
    """A second stretch of the same row of the bed."""
    place = {"bed": cast.bed, "row": 1, "first": 15, "seedlings": 3}
    return line_out(act(day=LINED_OUT), pot=cast.pot, **place).thing


def walk_of(person: Person, cast: Cast, day: date = IN_BLOOM, **how: bool):
    return the_walk(person, cast.row, day, **how)


def test_walk__begins_at_either_end(owner: Person, cast: Cast) -> None:
    assert walk_of(owner, cast).next_after() == 1
    assert walk_of(owner, cast, backward=True).next_after() == 12
    assert walk_of(owner, cast).to_see == list(range(1, 13))


@pytest.mark.parametrize(("backward", "seen", "following", "back"), [
    (False, (1, 2, 3), 4, 3),
    (True, (12, 11), 10, 11),
])  # fmt: skip
def test_walk__goes_on_where_it_was_left(
    owner: Person, cast: Cast, say: Callable, backward: bool, seen: tuple, following: int, back: int
) -> None:
    say(*seen, backward=backward)
    walk = walk_of(owner, cast, NEXT_DAY)
    assert (walk.next_after(), walk.before(following)) == (following, back)
    assert walk.next_after(seen[0]) == following


def test_walk__its_direction_stays_whatever_is_asked(
    owner: Person, cast: Cast, say: Callable
) -> None:
    say(12, backward=True)
    assert walk_of(owner, cast, backward=False).next_after() == 11


def test_walk__what_was_left_out_comes_at_the_end(owner: Person, cast: Cast, say: Callable) -> None:
    say(7, 8)
    assert walk_of(owner, cast).next_after() == 9
    say(9, 10, 11, 12)
    assert walk_of(owner, cast).next_after() == 1
    say(1, 2, 3, 4, 5, 6)
    assert walk_of(owner, cast).next_after() is None


@pytest.mark.parametrize("backward", [False, True])
def test_walk__passes_over_where_nothing_stands(
    act: Acts, owner: Person, helper_person: Person, cast: Cast, say: Callable, backward: bool
) -> None:
    say(4, found="gap", by=act(helper_person))
    say(5, found="dead", by=act(helper_person))
    clear_out(act(), row=cast.row, positions=[6, 12])
    walk = walk_of(owner, cast, backward=backward)
    assert walk.to_see == [1, 2, 3, 7, 8, 9, 10, 11][:: -1 if backward else 1]
    stop = 3 if backward else 7
    assert (walk.next_after(7 if backward else 3), walk.passed_over(stop)) == (stop, "4–6")
    assert walk.before(stop) == (7 if backward else 3)
    assert walk.passed_over(2) == ""


def test_walk__a_gap_of_its_own_is_no_surprise(owner: Person, cast: Cast, say: Callable) -> None:
    say(1)
    say(2, found="gap")
    walk = walk_of(owner, cast)
    assert (walk.next_after(), walk.passed_over(3), walk.before(3)) == (3, "", 2)
    assert walk.counts == [("Nothing", 1), ("Gap", 1)]


def test_walk__what_was_scored_meanwhile_was_looked_at(
    act: Acts, owner: Person, helper_person: Person, cast: Cast, say: Callable
) -> None:
    scored(act(day=IN_BLOOM - timedelta(days=5)), cast.row, 4)
    say(1)
    scored(act(), cast.row, 2)
    scored(act(helper_person), cast.row, 3)
    walk = walk_of(owner, cast)
    assert (walk.scored, walk.next_after()) == ({2}, 3)
    assert walk_of(owner, cast, anew=True).next_after() == 1


@pytest.mark.parametrize("days", [0, TAKEN_UP_WITHIN.days, TAKEN_UP_WITHIN.days + 1, 300])
def test_walk__is_the_one_that_the_verb_takes_up(
    owner: Person, cast: Cast, say: Callable, days: int
) -> None:
    say(1)
    day = IN_BLOOM + timedelta(days=days)
    assert walk_of(owner, cast, day).look_over == open_walk(owner, cast.row, day)
    undo(_act_of_the_next_day(owner), line=say(2).line)
    assert walk_of(owner, cast, day).look_over == open_walk(owner, cast.row, day)


def _act_of_the_next_day(person: Person) -> Act:
    return Act(person=person, happened_at=noon(NEXT_DAY))


def test_walk__everybody_walks_alone(
    act: Acts, owner: Person, helper_person: Person, cast: Cast, say: Callable
) -> None:
    say(1, 2, 3)
    assert walk_of(helper_person, cast).next_after() == 1
    say(1, by=act(helper_person))
    assert LookOver.live.count() == 2
    assert (walk_of(helper_person, cast).next_after(), walk_of(owner, cast).next_after()) == (2, 4)


def test_gone__many_rows_are_read_as_one(act: Acts, cast: Cast, second: Row, say: Callable) -> None:
    say(4, 5, found="gap")
    glance(act(), row=second, position=16, found="dead")
    clear_out(act(), row=cast.row, positions=[9])
    # Somebody looks once more and finds that it had only gone to sleep.
    say(5, found="again")
    gone = gone_of([cast.row, second])
    assert gone == {cast.row.pk: {4, 9}, second.pk: {16}}
    assert gone == {row.pk: gone_from(row) for row in (cast.row, second)}


def test_known__earlier_looks_and_scores_of_everybody(
    act: Acts, owner: Person, helper_person: Person, cast: Cast, say: Callable
) -> None:
    say(3, found="again", note="red haft", by=act(helper_person))
    scored(act(helper_person), cast.row, 3)
    say(3, 4, note="late")
    known = known_of(walk_of(owner, cast), 3)
    assert [(look.found, look.note, look.look_over.person) for look in known.looks] == [
        ("again", "red haft", helper_person)
    ]
    assert (known.now.found, known.now.note) == ("nothing", "late")
    assert [each.person for each in known.scores] == [helper_person]
    assert known.candidate.scores == 1
    nothing = known_of(walk_of(owner, cast), 5)
    assert (nothing.seedling, nothing.candidate, nothing.now) == (None, None, None)
    assert (nothing.looks, nothing.scores) == ([], [])


def test_stretches__of_the_same_row_that_can_bloom(
    act: Acts, owner: Person, cast: Cast, second: Row
) -> None:
    too_young = {"bed": cast.bed, "row": 1, "first": 20, "seedlings": 2}
    line_out(act(day=date(2026, 5, 1)), pot=cast.pot, **too_young)
    other_row = {"bed": cast.bed, "row": 2, "first": 1, "seedlings": 1}
    line_out(act(day=LINED_OUT), pot=cast.pot, **other_row)
    assert stretches(cast.row, IN_BLOOM) == [cast.row, second]
    along = walks_along(owner, cast.row, IN_BLOOM, backward=False)
    assert next_stretch(along, cast.row, backward=False).row == second
    assert next_stretch(along, second, backward=False) is None
    assert next_stretch(along, second, backward=True).row == cast.row
    for position in (15, 16, 17):
        glance(act(), row=second, position=position, found="nothing")
    along = walks_along(owner, cast.row, IN_BLOOM, backward=False)
    assert next_stretch(along, cast.row, backward=False) is None


def test_walked__tells_what_was_found_along_the_whole_row(
    act: Acts, owner: Person, cast: Cast, second: Row, say: Callable
) -> None:
    began = noon(IN_BLOOM)
    told = [(1, "nothing", 0), (2, "again", 40), (3, "gap", 60), (4, "nothing", 60 + 3600)]
    for position, found, seconds in told:
        when = Act(person=owner, happened_at=began + timedelta(seconds=seconds))
        say(position, found=found, by=when)
    glance(
        Act(person=owner, happened_at=began + timedelta(seconds=3690)),
        row=second, position=15, found="again",
    )  # fmt: skip
    found = walked(walks_along(owner, cast.row, IN_BLOOM, backward=False))
    assert found.counts == [("Nothing", 2), ("Look again", 2), ("Gap", 1)]
    assert found.called == [(cast.row, 2), (second, 15)]
    # An hour of breakfast between the third and the fourth is no walking.
    assert found.took == timedelta(seconds=60 + 30)
    assert (found.positions, found.minutes) == (5, 2)
    assert took([]) == timedelta()


def test_progress__those_begun_first_and_the_walked_last(
    act: Acts, owner: Person, helper_person: Person, cast: Cast, second: Row, say: Callable
) -> None:
    say(3, by=act(helper_person))
    glance(act(), row=second, position=15, found="again")
    say(12, found="gap", by=act(helper_person))
    begun, untouched = progress(owner, [cast.row, second], 2026)
    assert (begun.row, begun.looked, begun.called, begun.of) == (second, 1, 1, 3)
    assert (untouched.row, untouched.looked, untouched.of) == (cast.row, 0, 11)
    for position in (16, 17):
        glance(act(), row=second, position=position, found="nothing")
    assert [one.state for one in progress(owner, [cast.row, second], 2026)] == [1, 2]
    assert progress(owner, [second], 2025)[0].looked == 0


def test_called__waits_until_somebody_scores_or_decides(
    act: Acts, cast: Cast, second: Row, say: Callable
) -> None:
    glance(act(), row=second, position=15, found="again")
    say(9, 2, 5, 7, found="again")
    say(7)

    def waiting(row: Row | None = None, season: int = 2026) -> list[int]:
        return [each.position for each in called_waiting(season, NEXT_DAY, row)]

    assert waiting() == [2, 5, 9, 15]
    assert (waiting(second), waiting(season=2025)) == ([15], [])
    scored(act(), cast.row, 5)
    decide(act(), candidates=[Candidate.live.get(position=9)], verdict="discard")
    assert waiting() == [2, 15]


def test_called__last_years_decision_does_not_hide_it(act: Acts, cast: Cast, say: Callable) -> None:
    decided = scored(act(), cast.row, 5)
    decide(act(), candidates=[decided], verdict="watch")
    again = date(2027, 5, 20)
    say(5, found="again", by=act(day=again, received_at=noon(again)))
    assert [each.position for each in called_waiting(2027, again)] == [5]
