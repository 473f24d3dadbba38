"""The fire of a firing on its page: readings, logs, witness cones, costs. End points as published in the chart."""

from __future__ import annotations

import re
from datetime import UTC, timedelta
from io import BytesIO
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from tests.studio import ADA, INES, TOM
from tests.web.firing.test_firing_pages import queued, start
from tests.web.pieces.test_pages import words
from tracker.domain.pieces.outcomes import Outcome
from tracker.domain.pieces.piece import Stage
from tracker.forms.entity import shown_entity
from tracker.forms.studio.settings_schema import StudioSchema
from tracker.forms.studio.studio_file import read_studio, write_studio

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor

STEADY = "minutes,°C\n" + "\n".join(f"{quarter * 15},{22 + quarter * 15}" for quarter in range(81))
"""A log at 60 °C an hour from 22 to 1222 °C, where self-supporting cone 6 is down by the chart."""
COOLED = STEADY + "".join(f"\n{(80 + quarter) * 15},{1222 - quarter * 30}" for quarter in range(1, 40))
"""The same, and how the kiln cooled to 52 °C."""


def lit(room: Room, tom: Visitor, pieces: int = 1, hours: float = 0) -> str:
    """The address of a firing to cone 6 that was lit now, or so many hours ago."""
    here = start(tom)
    for _ in range(pieces):
        tom.post(f"{here}/in", {"ref": queued(room)})
    room.clock.pass_by(hours=-hours)
    tom.post(f"{here}/light")
    room.clock.pass_by(hours=hours)
    return here


def test_a_reading_is_noted_in_the_unit_the_pyrometer_shows(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    tom.post(f"{here}/readings", {"shows": "68", "unit": "f"})
    room.clock.moment += timedelta(hours=1)
    answer = tom.post(f"{here}/readings", {"shows": "95,5", "unit": "c"})

    assert answer.location.endswith("#fire")
    assert room.store.read.firings.log(1) == ((0, 20.0), (3600, 95.5))
    assert "Last reading 96 °C" in tom.get(here).text


def test_a_reading_of_an_earlier_time_is_noted_there(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)
    room.clock.moment += timedelta(hours=2)
    # Noon in the studio's zone, when it was lit; an hour later.
    shown = (room.clock.moment - timedelta(hours=1)).astimezone(ZoneInfo("Europe/Lisbon"))

    tom.post(f"{here}/readings", {"shows": "100", "unit": "c", "at": f"{shown:%H:%M}"})

    assert room.store.read.firings.log(1) == ((3600, 100.0),)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"shows": "warm", "unit": "c"}, "Enter a number, such as 1015."),
        ({"shows": "2200", "unit": "c"}, "hotter than any kiln here"),
        ({"shows": "18000", "unit": "f"}, "no kiln gets that hot"),
        ({"shows": "100", "unit": "c", "at": "25:10"}, "Enter the time like 2:05 PM"),
        ({"shows": "100", "unit": "kelvin"}, "Choose one of c or f."),
    ],
    ids=["no number", "too hot", "no kiln so hot", "isn't a time", "no unit"],
)
def test_a_reading_that_is_none_is_answered_in_a_sentence(room: Room, fields: dict[str, str], says: str) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    page = tom.post(f"{here}/readings", fields, follow_redirects=True)

    assert says in page.text
    assert room.store.read.firings.log(1) == ()


def test_a_refused_reading_waits_to_be_confirmed_and_a_wrong_one_is_taken_back(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    page = tom.post(f"{here}/readings", {"shows": "1,828", "unit": "f"}, follow_redirects=True)
    waits = 'value="1,828"' in page.text
    tom.post(f"{here}/readings", {"shows": "1,828", "unit": "f", "sure": "yes"})
    kept = room.store.read.firings.log(1)
    hot = tom.get(here).text
    tom.post(f"{here}/readings/0/take-back")

    assert waits
    assert [heat for _second, heat in kept] == [pytest.approx((1_828 - 32) / 1.8, abs=0.01)]
    assert f"{here}/readings/0/take-back" in hot
    assert "Undo kiln start" not in hot
    assert room.store.read.firings.log(1) == ()
    assert "Undo kiln start" in tom.get(here).text


def test_a_kilns_log_is_taken_in_and_the_page_says_which_cone_it_reached(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)

    page = tom.post(f"{here}/log", {"file": (BytesIO(STEADY.encode()), "kiln.csv")}, follow_redirects=True).text

    assert "81 readings imported, peak 1,222 °C" in page
    assert '<p class="reached">cone 6, 1,222 °C' in page
    assert "Going by the curve, cone 6, 1,222 °C has dropped." in page
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="drawing"' in page


def test_a_kiln_whose_firings_agree_says_when_its_target_falls_by_its_own_correction(room: Room) -> None:
    tom = room.visit(TOM)
    for _ in range(3):
        here = lit(room, tom, hours=30)
        tom.post(f"{here}/log", {"text": COOLED, "accepts": "yes"})
        tom.post(f"{here}/cones", {"kind": "self-supporting", "cone-1": "7", "stands-1": "half", "level-1": ""})
        page = room.store.read.firings.page(int(here.rpartition("/")[2]))
        assert page is not None
        tom.unload(here, {f"outcome-{row.ref}": str(Outcome.GOOD) for row in page.pieces})
    here = lit(room, tom, hours=19)

    tom.post(f"{here}/log", {"text": STEADY.rpartition("\n1140,")[0]})

    told = words(tom.get(here))
    assert re.search(r"With this kiln's correction and .+, cone 6, 1,222 °C drops at about \d+:\d\d\W[AP]M", told)


def test_one_reading_is_told_and_a_kiln_that_cools_is_told_nothing_of_its_rate(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    tom.post(f"{here}/readings", {"shows": "100", "unit": "c", "at": ""})

    one = words(tom.get(here))
    stopped = STEADY.partition("\n900,")[0] + "".join(f"\n{900 + one * 15},{900 - one * 30}" for one in range(28))
    tom.post(f"{here}/log", {"text": stopped, "accepts": "yes"})
    cooled = words(tom.get(here))

    assert "One reading: 100 °C" in one
    assert "No readings yet" not in one
    assert "Last reading" in cooled
    assert "At the current" not in cooled
    assert "None" not in cooled


def test_a_log_that_runs_backwards_is_refused_with_its_line_and_can_be_put_right_on_the_page(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    wrong = STEADY.replace("\n600,", "\n60,")

    refused = tom.post(f"{here}/log", {"file": (BytesIO(wrong.encode()), "kiln.csv")})
    tom.post(f"{here}/log", {"text": STEADY})

    assert refused.status_code == 422
    assert "line 42: the clock goes back" in refused.text
    assert "<textarea" in refused.text
    assert len(room.store.read.firings.log(1)) == 81


def test_a_log_that_looks_odd_is_taken_once_somebody_has_looked(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    jumps = STEADY.replace("\n600,622", "\n600,1622")

    asked = tom.post(f"{here}/log", {"text": jumps})
    taken = tom.post(f"{here}/log", {"text": jumps, "accepts": "yes"})

    assert asked.status_code == 409
    assert "checked these lines" in asked.text
    assert "line 42" in asked.text
    assert taken.status_code == 303


def test_no_file_and_a_picture_are_each_refused_in_a_sentence(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    none = tom.post(f"{here}/log", {})
    picture = tom.post(f"{here}/log", {"file": (BytesIO(b"\x89PNG\r\n\x1a\n\xff\xfe"), "kiln.png")})

    assert "Choose the kiln&#39;s log file." in none.text
    assert "t a text file." in picture.text


def test_millivolts_need_their_thermocouple_and_its_cold_junction(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    # NIST ITS-90, type K, junction at 0 °C: 4.096 mV is 100 °C and 20.644 mV is 500 °C.
    text = "minutes,mV\n0,4.096\n60,20.644"

    without = tom.post(f"{here}/log", {"text": text, "couple": "K"})
    tom.post(f"{here}/log", {"text": text, "couple": "K", "junction_c": "0"})

    assert "Millivolts need the temperature of the cold junction." in without.text
    heats = [heat for _, heat in room.store.read.firings.log(1)]
    assert heats == pytest.approx([100, 500], abs=0.05)


def test_witness_cones_are_noted_and_their_disagreement_is_shown(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    tom.post(f"{here}/log", {"text": STEADY})

    page = tom.post(
        f"{here}/cones",
        {"kind": "self-supporting", "cone-1": "7", "stands-1": "half", "level-1": "2", "cone-2": "", "level-2": ""},
        follow_redirects=True,
    ).text

    assert "1 witness cone recorded" in page
    assert "Witness cones, shelf 2:" in page
    assert "than the curve." in page
    assert "No correction yet" in page


def test_the_list_of_witness_cones_begins_beside_the_target_with_each_cones_temperature(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    first = tom.get(f"{here}/cones").text.partition('name="cone-1"')[2].partition("</select>")[0]
    offered = re.findall(r'<option value="([^"]+)"[^>]*>([^<]*)', first)

    assert [value for value, _words in offered[:7]] == ["4", "5", "5.5", "6", "7", "8", "9"]
    assert ("6", "Cone 6, 1,222 °C") in offered
    assert len(offered) == len(set(offered)) > 30


def test_while_a_kiln_is_on_its_witness_cones_decide_whether_it_is_switched_off(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    tom.post(f"{here}/log", {"text": STEADY})
    cooler = {"cone-1": "4", "stands-1": "down", "cone-2": "6", "stands-2": "standing", "kind": "self-supporting"}

    tom.post(f"{here}/cones", cooler)
    says_4 = words(tom.get(here))
    tom.post(f"{here}/log", {"text": STEADY.rpartition("\n1140,")[0]})
    tom.post(f"{here}/cones", {"cone-1": "6", "stands-1": "down", "kind": "self-supporting"})
    says_6 = words(tom.get(here))

    assert "By the curve: cone 6" in says_4
    assert "has dropped. Its witness cones say cone 4" in says_4
    assert re.search(r"keep firing until cone 6, [^.]+ bends\. Check the thermocouple\.", says_4)
    assert "Switch the kiln off" not in says_4
    assert re.search(r"Going by its witness cones, cone 6, [^.]+ has dropped\. Switch the kiln off now", says_6)
    assert "drops at about" not in says_6


def test_witness_cones_that_cannot_be_keep_what_was_chosen(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    page = tom.post(f"{here}/cones", {"kind": "self-supporting", "cone-1": "7", "stands-1": ""})

    assert page.status_code == 422
    assert "Cone 7: choose how far it bent." in page.text
    assert '<option value="7" selected>' in page.text


def test_what_a_firing_cost_is_shared_to_the_cent(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, pieces=3)

    tom.post(f"{here}/cost", {"kwh": "71.5", "cost_cents": "10.00"})
    page = tom.get(f"{here}/cost").text

    assert "3.34" in page
    assert page.count("3.33") == 2
    assert 'value="71.5"' in page


def test_a_cost_that_is_none_changes_nothing(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)

    page = tom.post(f"{here}/cost", {"cost_cents": "about ten"})

    assert "Write the cost like 14.30." in page.text
    assert 'value="about ten"' in page.text
    assert room.store.read.firings.page(1).cost_cents is None  # type: ignore[union-attr]  # it was just lit


def test_the_results_keep_the_story_of_the_fire(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom, hours=30)
    tom.post(f"{here}/log", {"text": COOLED, "accepts": "yes"})
    tom.post(f"{here}/off")
    (ref,) = (row.ref for row in room.store.read.firings.page(1).pieces)  # type: ignore[union-attr]  # it was just lit

    tom.unload(here, {f"outcome-{ref}": str(Outcome.GOOD)})

    assert room.piece(ref).stage is Stage.FIRED
    assert '<p class="reached">cone 6, 1,222 °C' in tom.get(here).text


def test_a_log_without_heat_is_asked_about_once_before_unloading(room: Room) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    tom.post(f"{here}/readings", {"shows": "72", "unit": "f"})
    tom.post(f"{here}/off")

    shown = words(tom.get(f"{here}/unload"))
    asked = tom.post(f"{here}/unload", {f"flaw-{ref}": "ran"})
    tom.post(f"{here}/unload", {f"flaw-{ref}": "ran", "fired": "yes"})

    says = "The log of firing 1 shows 22 °C at most. It should have reached cone 6, 1,222 °C. Was the kiln fired?"
    assert says in shown
    assert asked.status_code == 409
    assert f"{says} If the kiln was fired, tick the box and unload again." in words(asked)
    assert 'value="ran" checked' in asked.text
    assert room.piece(ref).stage is Stage.FIRED
    assert "Staff confirmed that the kiln was fired." in words(tom.get(f"/p/{ref}"))


def test_a_kiln_that_is_on_is_marked_off_before_it_is_unloaded_and_without_a_log_somebody_says_it_fired(
    room: Room,
) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    room.clock.pass_by(minutes=2)
    good = {f"outcome-{ref}": "good"}

    on = tom.get(f"{here}/unload").text
    refused = tom.post(f"{here}/unload", {**good, "fired": "yes"})
    tom.post(f"{here}/off")
    asked = tom.post(f"{here}/unload", good)
    before = room.piece(ref).stage
    tom.post(f"{here}/unload", {**good, "fired": "yes"})

    assert f'action="{here}/off"' in on
    assert f"outcome-{ref}" not in on
    assert (refused.status_code, asked.status_code) == (409, 409)
    assert "Its kiln was on for 2 minutes" in words(asked)
    assert before is Stage.QUEUED
    assert room.piece(ref).stage is Stage.FIRED


@pytest.mark.parametrize("cones", [True, False])
def test_a_kiln_without_a_reading_is_opened_by_the_word_of_whoever_measured_it(room: Room, *, cones: bool) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    room.clock.pass_by(hours=14)
    tom = room.visit(TOM)
    tom.post(f"{here}/off")
    if cones:
        tom.post(f"{here}/cones", {"kind": "self-supporting", "cone-1": "6", "stands-1": "half"})

    page = words(tom.get(f"{here}/unload"))
    asked = tom.post(f"{here}/unload", {f"outcome-{ref}": "good"})
    tom.post(f"{here}/unload", {f"outcome-{ref}": "good", "fired": "yes"})

    assert "pyrometer showed 120 °C or less before it was opened" in page
    assert asked.status_code == 409
    assert "Read its pyrometer before you open it" in words(asked)
    assert room.piece(ref).stage is Stage.FIRED
    assert "it was cool when it was opened." in words(tom.get(f"/p/{ref}"))


def test_a_kiln_stays_shut_until_a_reading_shows_that_it_has_cooled(room: Room) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    room.clock.pass_by(hours=9)
    tom.post(f"{here}/readings", {"shows": "1200", "unit": "c"})
    tom.post(f"{here}/off")
    room.clock.pass_by(minutes=20)
    sent = {f"outcome-{ref}": "good", "fired": "yes"}

    hot = tom.post(f"{here}/unload", sent)
    before = room.piece(ref).stage
    room.clock.pass_by(hours=30)
    tom = room.visit(TOM)
    tom.post(f"{here}/readings", {"shows": "80", "unit": "c"})
    tom.post(f"{here}/unload", sent)

    assert hot.status_code == 409
    assert "The last reading is 1,200 °C, 20 minutes ago. Keep the kiln shut." in words(hot)
    assert f'action="{here}/readings"' in hot.text
    assert before is Stage.QUEUED
    assert room.piece(ref).stage is Stage.FIRED


def test_a_student_reads_no_fire(room: Room) -> None:
    here = lit(room, room.visit(TOM))

    assert room.visit(INES).get(f"{here}/log").status_code == 403


def test_costs_are_in_the_currency_of_the_studio_and_plain_numbers_without_one(room: Room) -> None:
    tom, ada = room.visit(TOM), room.visit(ADA)
    here = lit(room, tom)
    tom.post(f"{here}/cost", {"kwh": "71.5", "cost_cents": "1234.50"})
    plain = tom.get(f"{here}/cost").text

    told = {**shown_entity(StudioSchema, room.store.read.studio())}
    settings = told | {"currency": "eur", "seen": room.store.read.version()}
    assert ada.post("/catalog/studio", settings).status_code == 303
    wrong = settings | {"currency": "euros", "seen": room.store.read.version()}
    assert ada.post("/catalog/studio", wrong).status_code == 422
    in_euros = tom.get(f"{here}/cost").text

    assert "1,234.50" in plain
    assert "€" not in plain
    assert "€1,234.50" in in_euros
    assert read_studio(write_studio(room.store.read.studio())).currency == "EUR"


def test_once_the_kiln_is_off_the_page_says_what_is_on_record_of_the_fire_and_what_is_missing(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)
    burning = tom.get(here).text

    tom.post(f"{here}/off")
    bare = words(tom.get(here))
    tom.post(f"{here}/cost", {"kwh": "71.5"})
    tom.post(f"{here}/cones", {"kind": "self-supporting", "cone-1": "6", "stands-1": "down", "level-1": "1"})
    partly = words(tom.get(here))

    assert "on record" not in burning
    assert "Missing: readings over the whole firing, witness cones, and energy." in bare
    assert "On record: witness cones and energy. Missing: readings over the whole firing." in partly


def test_the_times_of_a_fire_are_corrected_by_the_studios_clock_and_the_page_tells_both(room: Room) -> None:
    tom = room.visit(TOM)
    here = lit(room, tom)
    room.clock.moment += timedelta(hours=9)
    tom.post(f"{here}/off")
    form = tom.get(f"{here}/times").text

    # Lisbon shows UTC in March.
    late = tom.post(f"{here}/times", {"on_day": "2026-03-03", "on": "22:00", "off_day": "2026-03-03", "off": "21:00"})
    done = tom.post(f"{here}/times", {"on_day": "2026-03-03", "on": "11:15", "off_day": "2026-03-03", "off": "21:00"})

    firing = room.store.read.firings.firing(1)
    assert firing is not None
    assert firing.lit_at is not None
    assert 'value="12:00"' in form
    assert late.status_code == 422
    assert done.status_code == 303
    assert (firing.lit_at.astimezone(UTC).hour, firing.lit_at.minute, firing.shut_at) == (11, 15, room.clock.moment)
    assert "Corrections" in tom.get(here).text
    assert room.visit(INES).post(f"{here}/times", {"on_day": "2026-03-03", "on": "11:00"}).status_code == 403
