"""The pages of an outdoor session: what is asked beforehand, the rounds, the taps, and what the fire did."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pypdfium2
import pytest
from markupsafe import escape

from tests.photographed import photographed
from tests.reading import said
from tests.studio import ADA, INES, MIRA, NOON, TOM
from tests.web.outdoor.test_waiting_pages import for_raku
from tracker.domain.firing.firings import FiringStage
from tracker.domain.outdoor.evaporation import Tanks
from tracker.domain.outdoor.event_log import Did
from tracker.domain.outdoor.pull_heats import pull_heats
from tracker.domain.outdoor.sessions import Session, SessionStage
from tracker.domain.pieces.piece import Build, Stage
from tracker.domain.studio.cautions import Danger
from tracker.domain.studio.kilns import RouteKind
from tracker.domain.studio.settings import COMMON_PRACTICE
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor

SENT = {
    "kiln": "Yard drum",
    "day": "2026-03-03",
    "begins": "13:00",
    "dark": "18:30",
    "opening": "lift-off",
    "pullers": "Tom, Mira",
    "lids": "Ines",
    "watches": "Ines",
    "hose": "Ada",
    "many-1": "2",
    "lid-1": "yes",
    "combustibles": "sawdust",
    "fuel_before": "20,5",
    "air": "-2",
    "weather": "still",
}


def planned(room: Room, visitor: Visitor, **facts: Any) -> Session:  # noqa: ANN401 -- any field of the form
    """A session as it stands after its form was sent."""
    answer = visitor.post("/outdoor/plan", SENT | facts)
    assert answer.status_code == 303, answer.text
    return the_session(room, int(answer.headers["Location"].rpartition("/")[2]))


def the_session(room: Room, number: int) -> Session:
    """A session as it is now."""
    session = room.store.read.outdoors.session(number)
    assert session is not None
    return session


def tap(visitor: Visitor, session: Session, did: str, firing: int, **fields: Any) -> Any:  # noqa: ANN401 -- as above
    """Send one tap as a phone does, and give its answer."""
    sent = {"did": did, "firing": firing, **fields}
    return visitor.post(f"/outdoor/{session.id}/taps", sent, headers={"Accept": "application/json"})


def fire(room: Room, visitor: Visitor, session: Session, value: str = "good") -> None:
    """Fire every round of a session, each piece with the same result."""
    for firing in session.rounds:
        refs = [row.ref for row in room.store.read.pieces.by_ids(firing.planned_ids)]
        assert tap(visitor, session, "start", firing.id, inside=refs).status_code == 200
        for ref in refs:
            for did in ("pulled", "closed", "out"):
                tap(visitor, session, did, firing.id, piece=ref)
            assert tap(visitor, session, "result", firing.id, piece=ref, value=value).status_code == 200


def test_a_session_is_planned_from_its_form_by_the_studios_own_clocks(room: Room) -> None:
    ref = for_raku(room)
    session = planned(room, room.visit(ADA))

    facts = session.facts
    # Lisbon keeps the same hours as UTC in winter.
    assert facts.starts_at == NOON + timedelta(hours=1)
    assert facts.dark_at == NOON + timedelta(hours=6, minutes=30)
    assert facts.crew.pullers == ("Tom", "Mira")
    assert [(one.name, one.lid) for one in facts.containers] == [("A1", True), ("A2", True)]
    assert (facts.fuel_before_kg, facts.air_c) == (20.5, -2.0)
    assert [row.ref for row in room.store.read.pieces.by_ids(session.piece_ids)] == [ref]


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"pullers": ""}, "Name a puller."),
        ({"hose": "Tom"}, "Tom has the water hose, so can&#39;t also pull."),
        ({"begins": "one"}, "Enter the time like 2:05 PM"),
        ({"day": "today"}, "Choose a day."),
        ({"opening": "side"}, "Choose one of lift-off, front, or top."),
        ({"many-1": "99"}, "Enter a whole number, at most 12."),
        ({"fuel_before": "much"}, "Use a value from 0 kg to 2,000 kg."),
        ({"tank_size": "45"}, "Enter how many tanks."),
        ({"tanks": "2"}, "Enter their size."),
        ({"tanks": "1", "tank_size": "9"}, "One 9 kg tank can&#39;t hold 20.5 kg of propane."),
        ({"dark": "12:00"}, "The session starts after dark."),
        ({"pullers": ", ".join("ABCDEFGHIJ")}, "Write a few names, with commas between them."),
    ],
)
def test_what_makes_no_sense_is_said_beside_what_was_written(room: Room, facts: dict[str, str], says: str) -> None:
    answer = room.visit(TOM).post("/outdoor/plan", SENT | facts)

    assert answer.status_code == 422
    assert says in answer.text
    assert 'value="sawdust"' in answer.text
    assert room.store.read.outdoors.sessions() == ()


def test_the_form_begins_with_what_was_said_last_time(room: Room) -> None:
    visitor = room.visit(TOM)
    assert 'value="1"' in visitor.get("/outdoor/plan").text
    planned(room, visitor, weather="gale")

    page = visitor.get("/outdoor/plan?kiln=Yard+drum").text

    assert 'value="Tom, Mira"' in page
    assert 'value="sawdust"' in page
    assert "gale" not in page


def test_the_page_shows_rounds_times_floor_fuel_and_cautions(room: Room) -> None:
    plain = for_raku(room, what="plain bowl")
    risky = for_raku(room, what="slab box", clay="Lantern White", build=Build.SLAB)
    visitor = room.visit(ADA)
    session = planned(room, visitor)

    page = visitor.get(f"/outdoor/{session.id}").text

    assert "1:00\u202fPM to 1:45\u202fPM" in page
    assert plain in page
    assert "kept apart" in page[page.index(risky) :]
    assert "into A1" in page
    assert "<svg" in page
    assert "pulled at 982 °C" in page
    assert escape(said(pull_heats(RouteKind.RAKU, COMMON_PRACTICE.outdoors))) in page
    assert "Estimate: the face stays above 750 °C for about" in page
    assert re.search(r"Estimated cooling in the open, \d mm wall", page)
    assert "This is a first guess: no session of this kiln has been weighed yet." in page
    assert all(f'data-danger="{danger}"' in page for danger in (Danger.HOT_WARE, Danger.BINS, Danger.AUTHORITY))
    listed = visitor.get("/outdoor").text
    assert f"Session {session.id}" in listed


def test_the_page_warns_where_the_tanks_cannot_evaporate_as_fast_as_the_burner_draws(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor, tanks="1", tank_size="45", burner="50", air="-10")

    def told_with(**facts: str) -> str:
        visitor.post(f"/outdoor/{session.id}/facts", SENT | facts)
        return visitor.get(f"/outdoor/{session.id}").text

    cold = visitor.get(f"/outdoor/{session.id}").text
    by_the_kiln, form = (visitor.get(f"/outdoor/{session.id}/{where}").text for where in ("run", "facts"))
    warm = told_with(tanks="1", tank_size="45", burner="50", air="18", fuel_before="40")
    facts = the_session(room, session.id).facts
    unknown = told_with(air="")

    assert "gas flows too slowly" in cold
    # Told before anything else, on the phone beside the kiln and where it can be changed.
    assert cold.index("gas flows too slowly") < cold.index("Timeline")
    assert "gas flows too slowly" in by_the_kiln
    assert "gas flows too slowly" in form
    assert "At -10 °C, 1 tank evaporates up to" in cold
    assert "The burner draws 50 kW (from its plate)." in cold
    assert "gas flows fast enough" in warm
    assert "45 kg" in warm
    assert facts.tanks == Tanks(count=1, size_kg=45)
    assert "not checked" in unknown
    assert "Enter the size and number of tanks and the air temperature." in unknown
    # The form begins with the tanks of the last time, and the weather of today is asked anew.
    form = visitor.get("/outdoor/plan").text
    assert 'name="tank_size"' in form
    assert 'name="tongs"' in form


def test_tanks_and_burner_are_typed_in_the_units_of_whoever_types(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    visitor.post("/me", {"units": "us"})

    session = planned(room, visitor, tanks="2", tank_size="100", burner="170600", fuel_before="60", air="50")
    page = visitor.get(f"/outdoor/{session.id}").text
    sent = {"tanks": "2", "tank_size": "100", "burner": "170600", "fuel_before": "60", "air": "50"}
    visitor.post(f"/outdoor/{session.id}/facts", SENT | sent)

    assert session.facts.tanks is not None
    assert session.facts.tanks.size_kg == pytest.approx(45.359237)
    assert session.facts.burner_kw == pytest.approx(50)
    # 30 lb in each at 50 °F give 96,000 Btu/h (published chart, between 40 and 60 °F).
    assert "At 50 °F, 2 tanks evaporate up to 192,000 Btu/h at the start" in page
    assert "The burner draws 171,000 Btu/h (from its plate)." in page
    assert the_session(room, session.id).facts == session.facts


def test_horsehair_has_one_set_of_numbers_on_plan_phone_and_sheet(room: Room) -> None:
    ref = room.bisqued(burnished=True).ref
    pieces.queue(room.store, room.asks(TOM), ref, "horsehair")
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    heats = "Pull at 700 °C. Lay the hair on between 700 °C and 480 °C."

    plan, phone = (visitor.get(f"/outdoor/{session.id}{page}").text for page in ("", "/run"))
    paper = pypdfium2.PdfDocument(visitor.get(f"/outdoor/{session.id}/sheet.pdf").data)
    sheet = " ".join(paper[0].get_textpage().get_text_bounded().split())
    paper.close()

    for told in (plan, phone, sheet):
        assert heats in told
        assert "pulled at 700 °C" in told
        assert "hair marks until about" in told
        assert "cone 010" not in told


def test_pieces_are_chosen_moved_and_left_for_another_day(room: Room) -> None:
    first, second, third = (for_raku(room) for _ in range(3))
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    page = visitor.get(f"/outdoor/{session.id}/pieces").text
    assert page.count("checked") >= 3

    visitor.post(f"/outdoor/{session.id}/pieces", {"pick": [first, second, third]})
    assert len(the_session(room, session.id).rounds) == 2
    visitor.post(f"/outdoor/{session.id}/arrange", {"ref": first, "round": ""})

    session = the_session(room, session.id)
    assert room.piece(first).planned_in is None
    assert "Left out by" in visitor.get(f"/outdoor/{session.id}").text
    (target, number) = next((one, n) for n, one in enumerate(session.rounds, 1) if len(one.planned_ids) == 1)
    answer = visitor.post(f"/outdoor/{session.id}/arrange", {"ref": first, "round": str(number)})
    assert answer.status_code == 303
    assert room.piece(first).planned_in == target.id


def test_the_sheet_of_a_round_is_that_of_its_session_with_the_heat_of_the_pull(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)

    answer = visitor.get(f"/firings/{session.rounds[0].id}/sheet.pdf")

    assert (answer.status_code, answer.headers["Location"]) == (302, f"/outdoor/{session.id}/sheet.pdf")


def test_what_is_told_anew_plans_the_rest_anew(room: Room) -> None:
    for _ in range(2):
        for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor, pullers="Tom")
    assert len(session.rounds) == 2
    assert 'value="18:30"' in visitor.get(f"/outdoor/{session.id}/facts").text

    answer = visitor.post(f"/outdoor/{session.id}/facts", SENT | {"many-1": "5"})
    wrong = visitor.post(f"/outdoor/{session.id}/facts", SENT | {"hose": ""})

    assert answer.status_code == 303
    assert wrong.status_code == 422
    assert len(the_session(room, session.id).rounds) == 1


def test_a_session_is_called_off(room: Room) -> None:
    ref = for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)

    visitor.post(f"/outdoor/{session.id}/call-off")

    assert the_session(room, session.id).stage is SessionStage.ENDED
    assert room.piece(ref).planned_in is None
    assert "Canceled" in visitor.get(f"/outdoor/{session.id}").text


def test_its_sheet_is_a_pdf_on_either_paper(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)

    for paper in ("", "?paper=letter"):
        answer = visitor.get(f"/outdoor/{session.id}/sheet.pdf{paper}")
        assert answer.mimetype == "application/pdf"
        assert answer.data.startswith(b"%PDF")


# ---- running it ----------------------------------------------------------------------------------------------------


def test_a_session_is_run_ended_and_told(room: Room) -> None:
    ref = for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    page = visitor.get(f"/outdoor/{session.id}/run").text
    assert "Start round 1" in page
    assert f'data-zone="{room.store.read.studio().timezone}"' in page

    fire(room, visitor, session)

    assert room.piece(ref).stage is Stage.FIRED
    assert "Propane left" in visitor.get(f"/outdoor/{session.id}").text
    visitor.post(f"/outdoor/{session.id}/end", {"fuel_after": "18.1"})
    session = the_session(room, session.id)
    assert session.stage is SessionStage.ENDED
    page = visitor.get(f"/outdoor/{session.id}").text
    assert page.count("2.4 kg") == 2
    assert visitor.get(f"/outdoor/{session.id}/run").status_code == 302


def test_fuel_is_weighed_after_the_end_too(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    fire(room, visitor, session)
    visitor.post(f"/outdoor/{session.id}/end")
    assert "Weigh the propane" in visitor.get(f"/outdoor/{session.id}").text

    visitor.post(f"/outdoor/{session.id}/weigh", {"fuel_after": "18"})

    assert the_session(room, session.id).fuel_after_kg == 18


def test_a_tap_keeps_the_time_of_its_phone_put_right_by_the_studios_clock(room: Room) -> None:
    ref = for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    (firing,) = session.rounds
    # This phone's clock is two hours slow, and it sends ten minutes after the tap.
    tapped = round((room.clock() - timedelta(hours=2, minutes=10)).timestamp() * 1000)
    sends = round((room.clock() - timedelta(hours=2)).timestamp() * 1000)

    answer = tap(visitor, session, "start", firing.id, inside=[ref], at=str(tapped), sent_at=str(sends))

    assert answer.json["ok"]
    (heard,) = room.store.read.outdoors.taps(session.id)
    assert heard.at == room.clock() - timedelta(minutes=10)
    assert the_session(room, session.id).rounds[0].lit_at == heard.at


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"did": "boil"}, "Choose one of"),
        ({"did": "result", "value": "fine"}, "Choose how it came out."),
        ({"did": "pulled", "piece": ""}, "Choose the piece."),
        ({"did": "pulled", "at": "yesterday"}, "That isn't a valid time."),
        ({"did": "start", "inside": []}, "No pieces are marked as in the kiln."),
        ({"did": "pulled", "piece": "nonsense"}, "isn't a code"),
        ({"did": "at heat", "firing": "999"}, "Firing 999 doesn"),
    ],
)
def test_a_tap_that_says_nothing_is_refused_in_a_sentence(room: Room, fields: dict[str, Any], says: str) -> None:
    ref = for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    sent = {"did": "start", "firing": session.rounds[0].id, "piece": ref, "inside": [ref]} | fields

    answer: Any = visitor.post(f"/outdoor/{session.id}/taps", sent, headers={"Accept": "application/json"})

    assert not answer.json["ok"]
    assert says in answer.json["says"]
    assert room.store.read.outdoors.taps(session.id) == ()


def test_a_tap_without_script_leads_back_to_the_page(room: Room) -> None:
    ref = for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)

    answer = visitor.post(
        f"/outdoor/{session.id}/taps", {"did": "start", "firing": session.rounds[0].id, "inside": [ref]}
    )

    assert answer.headers["Location"].endswith(f"/outdoor/{session.id}/run")
    assert the_session(room, session.id).rounds[0].stage is FiringStage.FIRING


def test_the_story_tells_every_phone_what_the_others_tapped(room: Room) -> None:
    ref = for_raku(room)
    tom, ada = room.visit(TOM), room.visit(ADA)
    session = planned(room, tom)
    (firing,) = session.rounds
    tap(tom, session, "start", firing.id, inside=[ref])
    tap(tom, session, "pulled", firing.id, piece=ref)
    tap(tom, session, "result", firing.id, piece=ref, value="good")
    tap(ada, session, "result", firing.id, piece=ref, value="broke")

    story: Any = ada.get(f"/outdoor/{session.id}/story").json

    assert story["rounds"][str(firing.id)]["pieces"][ref]["outcome"] == "good"
    assert story["rounds"][str(firing.id)]["done"]
    assert len(story["heard"]) == 4
    assert "Tom A. entered “good”, Ada Q. entered “broke”" in story["differs"][0]
    assert "Conflicting entries" in ada.get(f"/outdoor/{session.id}").text


@pytest.mark.parametrize("value", ["cracked,crawled", ["crawled", "cracked"]], ids=["from the script", "from boxes"])
def test_a_piece_can_come_out_with_several_flaws(room: Room, value: str | list[str]) -> None:
    ref, tom = for_raku(room), room.visit(TOM)
    session = planned(room, tom)
    (firing,) = session.rounds
    tap(tom, session, "start", firing.id, inside=[ref])
    tap(tom, session, "pulled", firing.id, piece=ref)

    tap(tom, session, "result", firing.id, piece=ref, value=value)

    story: Any = tom.get(f"/outdoor/{session.id}/story").json
    assert story["rounds"][str(firing.id)]["pieces"][ref]["outcome"] == "crawled,cracked"
    assert "crawled and cracked" in tom.get(f"/outdoor/{session.id}").text
    assert room.piece(ref).mended


def test_the_page_beside_the_kiln_is_kept_by_a_worker_for_its_own_folder(room: Room) -> None:
    answer = room.stranger().get("/outdoor/worker.js")

    assert answer.status_code == 200
    assert "javascript" in (answer.mimetype or "")
    assert answer.headers["Cache-Control"] == "no-cache"


def test_a_session_there_is_not_and_a_student_are_turned_away(room: Room) -> None:
    visitor, student = room.visit(TOM), room.visit(INES)
    for address in ("/outdoor/9", "/outdoor/9/run", "/outdoor/9/facts", "/outdoor/9/pieces", "/outdoor/9/story"):
        assert visitor.get(address).status_code == 404
        assert student.get(address).status_code == 403


def test_a_round_is_looked_at_on_its_sessions_page_until_it_is_done(room: Room) -> None:
    for_raku(room)
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    (firing,) = session.rounds

    assert visitor.get(f"/firings/{firing.id}").headers["Location"].endswith(f"/outdoor/{session.id}")
    assert f"Firing {firing.id}" not in visitor.get("/firings").text
    fire(room, visitor, session)
    assert visitor.get(f"/firings/{firing.id}").status_code == 200


# ---- what the fire did ---------------------------------------------------------------------------------------------


def test_what_the_fire_did_becomes_an_example_to_look_for(room: Room) -> None:
    ref = for_raku(room, what="moon jar")
    visitor = room.visit(TOM)
    session = planned(room, visitor)
    fire(room, visitor, session)
    (firing,) = session.rounds
    sent = {"air": "more fuel", "smoke": "heavy", "color": "copper blush over gray"}

    answer = visitor.post(f"/outdoor/{session.id}/mark/{firing.id}/{ref}", sent)

    assert answer.headers["Location"].endswith(f"#{ref}")
    student = room.visit(INES)
    assert "copper blush over gray" in student.get("/outdoor/examples").text
    found = student.get("/outdoor/examples?glaze=Ember+Luster&air=more+fuel&smoke=heavy").text
    assert "copper blush over gray" in found
    for other in ("air=even", "smoke=none", "glaze=Plum+Gloss", "find=teal"):
        assert "copper blush" not in student.get(f"/outdoor/examples?{other}").text
    for words in ("copper+jar", "ember"):
        assert "copper blush" in student.get(f"/outdoor/examples?find={words}").text
    assert "copper blush over gray" in student.get("/outdoor/examples?glaze=none&air=wind").text


def test_an_example_shows_the_photo_that_its_maker_shares_and_names_nobody(room: Room) -> None:
    ref, tom = for_raku(room, what="moon jar"), room.visit(TOM)
    session = planned(room, tom)
    fire(room, tom, session)
    tom.post(f"/outdoor/{session.id}/mark/{session.rounds[0].id}/{ref}", {"color": "copper blush"})
    stem = photographed(room.store, ref, room.person(INES), "by Ines Pell")
    ines, mira = room.visit(INES), room.visit(MIRA)
    there = f"/outdoor/examples/{stem}"
    before = [(visitor.get("/outdoor/examples").text, visitor.get(there).status_code) for visitor in (mira, tom)]

    not_hers = tom.post(f"/photos/{stem}/share", {"shared": "yes"}, headers={"Accept": "application/json"}).status_code
    offered = "Share photo" in ines.get(f"/photos/{stem}").text
    ines.post(f"/photos/{stem}/share", {"shared": "yes"})
    shown, picture = mira.get("/outdoor/examples").text, mira.get(there)
    ines.post(f"/photos/{stem}/share", {"shared": ""})

    assert all(stem not in page and status == 404 for page, status in before)
    assert "Ines" not in before[0][0]
    assert not_hers != 200
    assert offered
    assert there in shown
    assert "Ines" not in shown
    assert (picture.mimetype, picture.headers["Cache-Control"]) == ("image/jpeg", "private, no-cache")
    assert (mira.get(there).status_code, mira.get(f"/photos/{stem}").status_code) == (404, 404)


def test_what_broke_is_counted_and_told_on_the_next_warning(room: Room) -> None:
    visitor = room.visit(TOM)
    assert "Nothing has been through" in visitor.get("/outdoor/losses").text
    for_raku(room, clay="Lantern White", build=Build.SLAB)
    fire(room, visitor, planned(room, visitor), "broke")
    next_one = for_raku(room, clay="Lantern White", build=Build.SLAB)
    session = planned(room, visitor)

    page = visitor.get("/outdoor/losses").text

    assert "slab-built porcelain pieces" in page or "slab-built porcelain piece" in page
    assert "1 of 1" in page
    shown = visitor.get(f"/outdoor/{session.id}").text
    assert "1 of 1 slab-built porcelain piece broke or cracked here" in shown[shown.index(next_one) :]


def test_a_broken_piece_is_told_to_its_maker_kindly(room: Room) -> None:
    for_raku(room, what="winged jar")
    visitor = room.visit(TOM)
    fire(room, visitor, planned(room, visitor), "broke")
    maker = room.visit(INES)

    assert "Your winged jar broke in the kiln on" in maker.get("/pieces").text
    assert "We are sorry." in maker.get("/pieces").text
    room.clock.pass_by(days=31)
    assert "winged jar broke" not in maker.get("/pieces").text


def test_a_question_about_a_piece_leaves_it_out_with_the_reason(room: Room) -> None:
    ref = for_raku(room)
    questions.ask(room.store, room.asks(INES), ref, "Is that a crack?")
    visitor = room.visit(TOM)
    session = planned(room, visitor)

    page = visitor.get(f"/outdoor/{session.id}").text

    assert "No rounds yet" in page
    assert ref in page[page.index("Not in this session") :]
    assert re.search(r"question", page[page.index("Not in this session") :])
    assert f'value="{Did.START.value}"' not in page[page.index("Not in this session") :]
