"""A kiln's own log goes into its firing from the command line, once or while the kiln writes it."""

from __future__ import annotations

import threading
from pathlib import Path

from tests.commands.conftest import Run
from tests.staffed import ADA, TOM, asked_by, queued, started
from tracker.domain.labels.stock import Paper
from tracker.domain.quantities import Units
from tracker.store.unit_of_work import Store
from tracker.usecases.firing import firings
from tracker.usecases.studio import catalog

HEAD = "minutes,°C\n"


def lit(store: Store) -> str:
    """The number of a firing that has been lit."""
    ref = queued(store)
    firing = started(store)
    firings.put_in(store, asked_by(TOM), firing, ref)
    firings.light(store, asked_by(TOM), firing)
    return str(firing)


def test_a_log_is_taken_in_once(run: Run, store: Store, database_url: str, tmp_path: Path) -> None:
    firing, path = lit(store), tmp_path / "kiln.csv"
    path.write_text(f"{HEAD}0,20\n10,45.5\n20,70\n", encoding="utf-8")

    told = run("--database", database_url, "kiln-log", firing, str(path), "--begins", "5")

    assert told.exit_code == 0, told.stderr
    assert "3 readings imported from kiln.csv" in told.stdout
    assert store.read.firings.log(int(firing)) == ((300, 20.0), (900, 45.5), (1500, 70.0))


def test_a_log_with_a_mistake_is_refused_by_its_line(run: Run, store: Store, database_url: str, tmp_path: Path) -> None:
    firing, path = lit(store), tmp_path / "kiln.csv"
    path.write_text(f"{HEAD}0,20\n20,70\n10,45.5\n", encoding="utf-8")

    told = run("--database", database_url, "kiln-log", firing, str(path))

    assert told.exit_code == 1
    assert "line 4: the clock goes back" in told.stderr
    assert store.read.firings.log(int(firing)) == ()


def test_a_log_that_looks_odd_needs_somebody_who_looked(
    run: Run, store: Store, database_url: str, tmp_path: Path
) -> None:
    firing, path = lit(store), tmp_path / "kiln.csv"
    path.write_text(f"{HEAD}0,20\n5,900\n10,905\n", encoding="utf-8")

    asked = run("--database", database_url, "kiln-log", firing, str(path))
    taken = run("--database", database_url, "kiln-log", firing, str(path), "--accept")

    assert (asked.exit_code, taken.exit_code) == (1, 0)
    assert "add --accept" in asked.stderr


def test_a_studio_in_us_units_is_answered_in_fahrenheit_but_for_numbers_that_were_read_as_celsius(
    run: Run, store: Store, database_url: str, tmp_path: Path
) -> None:
    catalog.set_facts(store, asked_by(ADA), {"units": Units.US, "paper": Paper.LETTER})
    firing, path = lit(store), tmp_path / "kiln.csv"

    path.write_text(f"{HEAD}0,20\n5,900\n10,905\n", encoding="utf-8")
    jump = run("--database", database_url, "kiln-log", firing, str(path))
    path.write_text("minutes,temp\n0,70\n300,1200\n600,1319\n", encoding="utf-8")
    room = run("--database", database_url, "kiln-log", firing, str(path))

    # A rise of 880 °C is one of 1,584 °F. What looks wrong in the file is told as it was read there.
    assert "1,584 °F" in jump.stderr
    assert "°C" not in jump.stderr
    assert "it starts at 70 °C and goes to 1,319 °C. Is this °F" in room.stderr


def test_a_growing_log_is_followed_until_the_fire_is_off(
    run: Run, store: Store, database_url: str, tmp_path: Path
) -> None:
    firing, path = lit(store), tmp_path / "kiln.csv"
    path.write_text(HEAD + "0,20\n10,4", encoding="utf-8")

    def kiln() -> None:
        """Write on, half a line at a time, and then go off."""
        for more in ("5.5\n20,", "70\n30,9", "5\n"):
            with path.open("a", encoding="utf-8") as file:
                file.write(more)
            pause.wait(0.3)
        firings.shut_off(store, asked_by(TOM), int(firing))

    pause = threading.Event()
    writer = threading.Thread(target=kiln)
    writer.start()
    told = run("--database", database_url, "kiln-log", firing, str(path), "--follow", "--every", "0.1")
    writer.join()

    assert told.exit_code == 0, told.stderr
    assert store.read.firings.log(int(firing)) == ((0, 20.0), (600, 45.5), (1200, 70.0), (1800, 95.0))


def test_a_firing_that_there_is_not_and_one_that_is_not_lit_are_refused(
    run: Run, store: Store, database_url: str, tmp_path: Path
) -> None:
    path = tmp_path / "kiln.csv"
    path.write_text(f"{HEAD}0,20\n10,45\n", encoding="utf-8")
    loading = started(store)

    missing = run("--database", database_url, "kiln-log", "99", str(path))
    cold = run("--database", database_url, "kiln-log", str(loading), str(path))

    assert "Firing 99 doesn't exist." in missing.stderr
    assert "hasn't started" in cold.stderr
