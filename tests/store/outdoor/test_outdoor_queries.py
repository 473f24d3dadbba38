"""What is read of the outdoor fires: kept while nothing comes out, and bounded by what is newest."""

from __future__ import annotations

from dataclasses import replace

from tests.staffed import ADA, TOM, asked_by, queued
from tests.studio import NOON, a_new_piece
from tests.yard import fire_round, planned_session, the_session
from tracker.domain.outdoor.breakage import By, losses
from tracker.domain.outdoor.results import Air, Mark
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.studio.materials import Zone
from tracker.store.unit_of_work import Store
from tracker.usecases.outdoor import running
from tracker.usecases.pieces import pieces
from tracker.usecases.studio import catalog


def burned(store: Store, outcome: Outcome, *names: str) -> tuple[int, list[str]]:
    """The number of a session in which so many pieces were fired in one round, and their codes."""
    for name in names:
        queued(store, "Ember Luster", route="raku", new=a_new_piece(name))
    session = planned_session(store, starts_at=NOON)
    return session, list(fire_round(store, session, 1, outcome))


def test_what_was_fired_is_kept_until_another_piece_comes_out(store: Store) -> None:
    burned(store, Outcome.GOOD, "jar")
    first, again = store.read.outdoors.fired(), store.read.outdoors.fired()
    burned(store, Outcome.of(Flaw.CRACKED), "bowl")
    then = store.read.outdoors.fired()

    assert again is first
    assert [one.outcome for one in first] == [Outcome.GOOD]
    assert [one.outcome for one in then] == [Outcome.of(Flaw.CRACKED), Outcome.GOOD]


def test_shares_of_what_is_kept_are_those_of_the_plain_rows(store: Store) -> None:
    burned(store, Outcome.BROKE, "jar", "bowl")
    kept = store.read.outdoors.fired()

    assert losses(kept, (By.BUILD, By.CLAY)) == losses(tuple(kept), (By.CLAY, By.BUILD))
    assert losses(kept, (By.GLAZE,)) == losses(list(kept), (By.GLAZE,)) != ()


def test_examples_are_those_of_the_glaze_and_the_air_that_are_asked_for(store: Store) -> None:
    session, (ref,) = burned(store, Outcome.GOOD, "jar")
    firing = the_session(store, session).rounds[0].id
    running.mark(store, asked_by(TOM), session, firing, ref, Mark(air=Air.MORE_FUEL, color="copper blush"))
    read = store.read.outdoors

    assert [one.mark.color for one in read.examples()] == ["copper blush"]
    assert read.examples(glaze="Ember Luster") == read.examples(air=Air.MORE_FUEL) == read.examples()
    assert read.examples(glaze="Still Water") == read.examples(air=Air.EVEN) == ()


def test_a_fire_is_told_with_the_layers_that_it_fired_whatever_went_on_since(store: Store) -> None:
    session, (ref,) = burned(store, Outcome.GOOD, "jar")
    firing = the_session(store, session).rounds[0].id
    running.mark(store, asked_by(TOM), session, firing, ref, Mark(air=Air.EVEN, color="copper blush"))
    moss = replace(store.read.catalog().glaze("Ember Luster"), name="Moss Luster")
    catalog.add(store, asked_by(ADA), moss)
    pieces.fire_again(store, asked_by(ADA), ref, "More color.")
    pieces.glaze(store, asked_by(TOM), ref, moss.name, Zone.INSIDE)
    read = store.read.outdoors

    assert [one.glazes for one in read.fired()] == [("Ember Luster",)]
    assert [one.worn for one in read.examples()] == [(("Ember Luster", "outside"),)]
    assert (len(read.examples(glaze="Ember Luster")), read.examples(glaze=moss.name)) == (1, ())
