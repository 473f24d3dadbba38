"""Backup, restore, check and tags from the command line, on both engines."""

from __future__ import annotations

import json
import os
import socket
from pathlib import Path

import pypdfium2
import pytest
from sqlalchemy import make_url

from tests.commands.conftest import Run
from tests.photographed import photographed, prints
from tests.staffed import ADA, MIRA, TOM, asked_by, bisqued, open_studio
from tests.usecases.rules.test_approvals import COLD, INDOOR, an_old_approval, in_two_glazes
from tracker.domain.labels.stock import LabelStock
from tracker.store.schema import downgrade
from tracker.store.unit_of_work import Store
from tracker.usecases.labels.stock import keep_stock
from tracker.usecases.pieces import pieces


@pytest.fixture
def kept(database_url: str) -> str:
    """The URL of a database with a studio and three pieces of a student's."""
    store = open_studio(database_url)
    for _ in range(3):
        bisqued(store)
    store.close()
    return database_url


def test_a_backup_is_restored_into_a_new_database_and_holds(run: Run, kept: str) -> None:
    backed_up = run("--database", kept, "backup", "safe.db")
    restored = run("--database", "new.db", "restore", "safe.db")
    checked = run("--database", "new.db", "check", "--json")

    assert (backed_up.exit_code, restored.exit_code) == (0, 0)
    assert json.loads(checked.stdout) == {"ok": True, "problems": [], "lapsed": [], "swept": 0}


def test_a_check_tells_of_a_lost_photo_and_sweeps_away_what_nobody_knows(
    run: Run, kept: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    attic = str(tmp_path / "attic")
    monkeypatch.setenv("FOOTRING_PHOTOS", attic)
    store = Store(kept, lambda _: 7, photos=attic)
    (ref,) = (row.ref for row in store.read.pieces.of(MIRA.id)[:1])
    photographed(store, ref, MIRA)
    shelf = store.shelf
    store.close()
    assert shelf is not None
    stray = shelf.keep(prints())
    for path in shelf.folder.rglob("*.jpg"):
        os.utime(path, (0, 0))

    swept, clean = (run("--database", kept, "check") for _ in range(2))
    for path in shelf.folder.rglob("*.jpg"):
        path.unlink()
    lost = run("--database", kept, "check")

    assert swept.stdout == "2 orphaned photo files deleted.\nNo problems found.\n"
    assert not shelf.has(stray)
    assert clean.stdout == "No problems found.\n"
    assert lost.exit_code == 1
    assert lost.stderr == f"The file of photo 1, of {ref}, is missing.\n"


def test_an_older_database_is_upgraded_once_with_a_backup_beside_it(
    run: Run, kept: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FOOTRING_PHOTOS", str(tmp_path))
    downgrade(kept, "0024")

    refused = run("--database", kept, "check")
    upgraded = run("--database", kept, "upgrade")
    again = run("--database", kept, "upgrade")
    (made,) = tmp_path.glob("*-0024-*.backup")
    checked = run("check", str(made), "--json")

    assert [one.exit_code for one in (refused, upgraded, again, checked)] == [1, 0, 0, 0]
    assert str(made) in upgraded.stdout
    assert str(made) not in again.stdout
    assert json.loads(checked.stdout) == {"ok": True, "problems": []}
    assert run("--database", kept, "check").exit_code == 0


def test_a_nightly_backup_keeps_the_newest_of_its_folder(run: Run, kept: str, tmp_path: Path) -> None:
    (tmp_path / "nightly").mkdir()
    name = Path(str(make_url(kept).database)).stem
    (tmp_path / "nightly" / f"{name}-20250101-023000.backup").touch()

    result = run("--database", kept, "backup", "--keep", "1", "nightly")

    (made,) = (tmp_path / "nightly").iterdir()
    assert result.exit_code == 0
    assert str(made.relative_to(tmp_path)) in result.stdout
    assert run("check", str(made)).exit_code == 0


def test_a_backup_is_never_overwritten(run: Run, kept: str, tmp_path: Path) -> None:
    (tmp_path / "safe.db").write_text("older", encoding="utf-8")

    result = run("--database", kept, "backup", "safe.db")

    assert result.exit_code == 1
    assert (tmp_path / "safe.db").read_text(encoding="utf-8") == "older"


def test_a_restore_never_goes_over_a_studio(run: Run, kept: str) -> None:
    run("--database", kept, "backup", "safe.db")

    result = run("--database", kept, "restore", "safe.db")

    assert result.exit_code == 1
    assert "already has a studio in it" in result.stderr


def test_a_good_database_is_well(run: Run, kept: str) -> None:
    result = run("--database", kept, "check")

    assert (result.exit_code, result.stdout) == (0, "No problems found.\n")


def test_a_broken_database_ends_with_1_and_says_where(run: Run, kept: str) -> None:
    store = Store(kept, lambda count: count - 1)
    with store.writing() as connection:
        connection.exec_driver_sql("UPDATE pieces SET stage = 'waxed' WHERE id = 1")
    store.close()

    plain = run("--database", kept, "check")
    for_scripts = run("--database", kept, "check", "--json")

    assert plain.exit_code == for_scripts.exit_code == 1
    assert "Piece 1 is waxed, but its history ends with bisqued." in plain.stderr
    assert json.loads(for_scripts.stdout)["ok"] is False


def test_tags_of_a_stage_are_written_and_a_second_time_are_reprints(run: Run, kept: str, tmp_path: Path) -> None:
    words = ("--stage", "bisqued", "--start", "20", "--nudge", "0.5,-1", "--dpi", "203", "--json")

    first = run("--database", kept, "tags", *words, "-o", "tags.pdf")
    second = run("--database", kept, "tags", *words, "-o", "tags.pdf")

    assert json.loads(first.stdout) == {"file": "tags.pdf", "tags": 3, "reprints": []}
    assert len(json.loads(second.stdout)["reprints"]) == 3
    # Two labels were left on the first sheet of 21.
    assert len(pypdfium2.PdfDocument(tmp_path / "tags.pdf")) == 2
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_tags_are_printed_on_the_studios_own_labels(run: Run, kept: str, tmp_path: Path) -> None:
    store = Store(kept, lambda count: count - 1)
    keep_stock(store, asked_by(ADA), LabelStock(name="Our roll", label_width_mm=90, label_height_mm=45))
    store.close()

    result = run("--database", kept, "tags", "W1", "--stock", "our  roll", "-o", "tags.pdf")

    assert result.exit_code == 0
    document = pypdfium2.PdfDocument(tmp_path / "tags.pdf")
    # In points, 72 to the inch.
    assert document[0].get_size() == pytest.approx((90 * 72 / 25.4, 45 * 72 / 25.4), abs=0.01)
    document.close()


def test_tags_lead_to_the_address_that_is_set(run: Run, kept: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FOOTRING_ADDRESS", "https://kilns.example.edu")
    there = run("--database", kept, "tags", "W1", "-o", "there.pdf")
    monkeypatch.setenv("FOOTRING_ADDRESS", "https://other.example.edu")
    elsewhere = run("--database", kept, "tags", "W1", "-o", "elsewhere.pdf")

    assert there.exit_code == elsewhere.exit_code == 0
    assert Path("there.pdf").read_bytes() != Path("elsewhere.pdf").read_bytes()


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        pytest.param((), 2, "--firing or --stage", id="nothing"),
        pytest.param(("W1", "--stage", "bisqued"), 2, "--firing or --stage", id="two ways"),
        pytest.param(("W1", "--stock", "parchment"), 2, "No label stock is called", id="stock"),
        pytest.param(("W1", "--start", "22"), 2, "has labels 1 to 21", id="start"),
        pytest.param(("W1", "--nudge", "0.3,1"), 2, "0.5 mm steps", id="nudge"),
        pytest.param(("W1", "--nudge", "nan,1"), 2, "like 0.5,-1", id="no nudge"),
        pytest.param(("--firing", "99"), 1, "Firing 99 doesn't exist", id="firing"),
        pytest.param(("W99",), 1, "Not found", id="piece"),
        pytest.param(("--stage", "glazed"), 1, "No pieces are selected", id="empty stage"),
    ],
)
def test_tags_that_cannot_be_printed_leave_no_file(
    run: Run, kept: str, tmp_path: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    before = set(tmp_path.iterdir())

    result = run("--database", kept, "tags", *words, "-o", "tags.pdf")

    assert result.exit_code == code
    assert says in result.stderr
    assert set(tmp_path.iterdir()) <= before | {tmp_path / "studio.sqlite-wal", tmp_path / "studio.sqlite-shm"}


def test_tags_that_cannot_be_written_do_not_count_as_printed(run: Run, kept: str) -> None:
    result = run("--database", kept, "tags", "W1", "-o", "no/such/folder/tags.pdf")
    again = run("--database", kept, "tags", "W1", "-o", "tags.pdf", "--json")

    assert result.exit_code == 1
    assert json.loads(again.stdout)["reprints"] == []


def test_a_check_names_the_approvals_that_lapsed_and_serving_carries_the_others_over(
    run: Run, database_url: str
) -> None:
    store = open_studio(database_url)
    holds, lapsed = in_two_glazes(store), in_two_glazes(store)
    an_old_approval(store, holds, "raku", indoor_glaze_in_raku=INDOOR, glaze_underfired=COLD)
    an_old_approval(store, lapsed, "raku", indoor_glaze_in_raku=INDOOR.replace("Lamp", "Moon"), glaze_underfired=COLD)

    with socket.create_server(("127.0.0.1", 0)) as taken:
        served = run("--database", database_url, "serve", "--port", str(taken.getsockname()[1]))
    checked = run("--database", database_url, "check", "--json")
    in_words = run("--database", database_url, "check")

    assert served.exit_code == 1
    assert (checked.exit_code, json.loads(checked.stdout)["ok"]) == (0, True)
    (told,) = json.loads(checked.stdout)["lapsed"]
    assert told.startswith(f"{lapsed}: the approval for Outdoor, raku has ended")
    assert in_words.stdout == f"{told}\nNo problems found.\n"
    assert pieces.queue(store, asked_by(TOM), holds, "raku", accepts={"damp-glaze"}).ref == holds
    store.close()
