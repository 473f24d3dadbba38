"""A studio written into its file and changed by one, from the command line, on both engines."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from tests.commands.conftest import Run
from tests.staffed import TOM, asked_by, open_studio, queued, started
from tracker.domain.cones import Cone
from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.domain.studio.catalog_changes import with_thing
from tracker.forms.studio.studio_file import read_studio, write_studio
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.studio import catalog


def _glazes(database: str) -> dict[str, bool]:
    """The names of the glazes, and whether each is retired."""
    store = Store(database, lambda count: count - 1)
    try:
        return {name: glaze.retired for name, glaze in store.read.catalog().glazes.items()}
    finally:
        store.close()


def test_what_is_written_out_is_the_studio_and_changes_nothing(run: Run, studio: str, studio_file: Path) -> None:
    written = run("--database", studio, "export-studio", "now.toml")
    taken = run("--database", studio, "change-studio", "now.toml")

    assert written.stdout == "Marrow Lane saved to now.toml.\n"
    text = studio_file.with_name("now.toml").read_text(encoding="utf-8")
    assert read_studio(text) == read_studio(studio_file.read_text(encoding="utf-8"))
    assert taken.stdout == "You haven't changed anything.\n"


def test_what_would_change_is_shown_and_asked_first(run: Run, studio: str, studio_file: Path) -> None:
    text = studio_file.read_text(encoding="utf-8").replace("Fog Harbour", "Fog Horn")
    studio_file.with_name("new.toml").write_text(text, encoding="utf-8")

    no = run("--database", studio, "change-studio", "new.toml", says=b"n\n")
    before = _glazes(studio)
    yes = run("--database", studio, "change-studio", "new.toml", "--yes", "--json")

    assert no.exit_code == 1
    assert "glaze Fog Horn added\nglaze Fog Harbour retired\n" in no.stdout
    assert "Fog Horn" not in before
    assert json.loads(yes.stdout)["changes"] == ["glaze Fog Horn added", "glaze Fog Harbour retired"]
    assert (_glazes(studio)["Fog Horn"], _glazes(studio)["Fog Harbour"]) == (False, True)


def test_what_cannot_be_is_named_and_nothing_is_changed(run: Run, studio: str, studio_file: Path) -> None:
    text = studio_file.read_text(encoding="utf-8").replace("Fog Harbour", "fog harbour")
    studio_file.with_name("new.toml").write_text(text, encoding="utf-8")

    result = run("--database", studio, "change-studio", "new.toml", "--yes")

    assert result.exit_code == 1
    assert "There is already a glaze called “Fog Harbour”" in result.stderr
    assert not _glazes(studio)["Fog Harbour"]


def test_what_must_come_out_of_a_kiln_is_named_before_and_after(run: Run, database_url: str, tmp_path: Path) -> None:
    store = open_studio(database_url)
    ref, firing = queued(store, "Still Water"), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    studio = store.read.studio()
    cooler = replace(studio.catalog.glazes["Still Water"], cone_high=Cone.parse("5"))
    (tmp_path / "new.toml").write_text(write_studio(with_thing(studio, cooler)), encoding="utf-8")
    store.close()

    no = run("--database", database_url, "change-studio", "new.toml", says=b"n\n")
    ahead = json.loads(run("--database", database_url, "change-studio", "new.toml", "--json").stdout)
    yes = run("--database", database_url, "change-studio", "new.toml", "--yes", "--json")

    assert f"You would have to take {ref} out of Back box." in no.stdout
    answer = json.loads(yes.stdout)
    assert f"Take {ref} out of Back box now." in answer["says"]
    assert answer["take_out"] == [{"piece": ref, "kiln": "Back box", "firing": firing}]
    # Without a yes the same is foretold, and nothing is done.
    assert (ahead.pop("applied"), answer.pop("applied")) == (False, True)
    assert f"You would have to take {ref} out of Back box." in ahead["says"]
    assert {**ahead, "says": ""} == {**answer, "says": ""}


def test_what_comes_out_wrong_of_a_hot_kiln_is_named_before_and_after(
    run: Run, database_url: str, tmp_path: Path
) -> None:
    store = open_studio(database_url)
    ref, firing = queued(store, "Still Water"), started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    studio = store.read.studio()
    cooler = replace(studio.catalog.glazes["Still Water"], cone_high=Cone.parse("5"))
    (tmp_path / "new.toml").write_text(write_studio(with_thing(studio, cooler)), encoding="utf-8")
    store.close()

    no = run("--database", database_url, "change-studio", "new.toml", says=b"n\n")
    yes = run("--database", database_url, "change-studio", "new.toml", "--yes", "--json")

    answer = json.loads(yes.stdout)
    (hot,) = answer["in_hot_kilns"]
    assert (hot["piece"], hot["kiln"], hot["firing"]) == (ref, "Back box", firing)
    assert hot["expect"]
    assert hot["check"]
    assert (answer["moved"], answer["take_out"]) == ([], [])
    assert all(text in says for text in (ref, *hot["expect"], *hot["check"]) for says in (no.stdout, answer["says"]))


def test_a_changed_cone_is_told_from_what_to_what_and_one_that_does_not_fit_is_refused_with_its_line(
    run: Run, studio: str, studio_file: Path
) -> None:
    text = studio_file.read_text(encoding="utf-8")
    low = text.replace(
        'family = "outdoor"\ncone_low = "06"\ncone_high = "06"', 'family = "low-fire"\ncone_low = "06"\ncone_high = "4"'
    )
    vouched = low.replace('cone_high = "4"', 'cone_high = "4"\ncones_checked = true')
    studio_file.with_name("low.toml").write_text(low, encoding="utf-8")
    studio_file.with_name("vouched.toml").write_text(vouched, encoding="utf-8")

    refused = run("--database", studio, "change-studio", "low.toml", "--yes")
    done = run("--database", studio, "change-studio", "vouched.toml", "--yes")

    line = low[: low.index('cone_high = "4"')].count("\n") + 1
    assert refused.exit_code == 1
    assert (
        f'line {line}: glaze "Copper Wink", cone_high: cone 4, 1,162 °C doesn\'t fit low-fire glazes' in refused.stderr
    )
    assert done.exit_code == 0
    assert (
        "glaze Copper Wink: family raku → low-fire, top cone 06 → 4 (998 °C → 1,162 °C), "
        "and unusual cones confirmed no → yes\n"
    ) in done.stdout


def test_what_is_wrong_in_a_file_is_said_in_the_studios_units(run: Run, studio: str, studio_file: Path) -> None:
    text = studio_file.read_text(encoding="utf-8")
    store = Store(studio, lambda count: count - 1)
    try:
        ada = store.read.people.staff()[0]
        catalog.set_facts(store, asked_by(ada), {"units": Units.US, "paper": Paper.LETTER})
    finally:
        store.close()
    studio_file.with_name("new.toml").write_text(
        text.replace('kind = "bisque"\ncone = "06"', 'kind = "bisque"\ncone = "5"'), encoding="utf-8"
    )

    result = run("--database", studio, "change-studio", "new.toml", "--yes")

    assert result.exit_code == 1
    assert "cone 5, 2,167 °F doesn't fit bisque firings" in result.stderr
