"""The bench says plainly when a bound is not met, and runs."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.bench import history
from tests.bench.__main__ import AT_LEAST, AT_MOST, Row, main
from tests.bench._conditions import cases, differences, names_of
from tests.pages import VISITORS
from tests.staffed import PASSWORD
from tests.web.conftest import Visitor
from tracker.app import create_app
from tracker.settings import Settings


@pytest.mark.parametrize(
    ("measured", "bound", "side", "met"),
    [
        pytest.param(0.31, 0.30, AT_LEAST, True, id="above a floor"),
        pytest.param(0.30, 0.30, AT_LEAST, True, id="on a floor"),
        pytest.param(0.29, 0.30, AT_LEAST, False, id="below a floor"),
        pytest.param(1.2, 1.3, AT_MOST, True, id="below a ceiling"),
        pytest.param(1.4, 1.3, AT_MOST, False, id="above a ceiling"),
        pytest.param(float("nan"), 1.3, AT_MOST, False, id="not measured"),
    ],
)
def test_a_bound_is_met_or_not(measured: float, bound: float, side: str, met: bool) -> None:  # noqa: FBT001 - a column of the table above
    row = Row("moves", measured, bound, side)

    assert row.is_met is met


def test_a_bound_on_neither_side_is_refused() -> None:
    with pytest.raises(ValueError, match="at least"):
        Row("moves", 1.0, 2.0, "about")


def test_a_bound_that_nothing_breaks_is_refused_and_a_note_has_none() -> None:
    with pytest.raises(ValueError, match="nothing breaks"):
        Row("moves", 1.0, float("inf"), AT_MOST)

    assert Row("moves", 1.0, None).cells == ("moves", "1", "a note", "")


def test_a_part_that_does_not_exist_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["glazes"]) == 2

    assert "There is no part glazes" in capsys.readouterr().err


def test_the_conditions_that_judging_is_timed_against_say_the_same_as_the_rules() -> None:
    judged = cases()

    apart = list(differences(judged, [names_of(ware, route) for ware, route in judged]))

    assert not apart, "Mend these in tests/bench/_conditions.py:\n" + "\n".join(apart)


def test_the_bench_of_history_finds_every_page_that_it_alone_asks_for(sqlite_url: str, tmp_path: Path) -> None:
    names = history.laid_out(sqlite_url, history.FEW, tmp_path)
    app = create_app(Settings(database=sqlite_url), lambda: datetime.now(UTC))

    missed: dict[str, int] = {}
    for who, addresses in history.MORE.items():
        visitor, person = Visitor(app.test_client()), VISITORS[who]
        visitor.get("/sign-in")
        visitor.post("/sign-in", {"email": person.email if person else "", "password": PASSWORD})
        answers = {one: visitor.get(one.format(**names)).status_code for one in addresses}
        missed |= {one: status for one, status in answers.items() if status != 200}

    app.extensions["footring"].store.close()
    assert missed == {}
