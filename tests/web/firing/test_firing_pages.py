"""Firings: only what a kiln serves, GO or STOP at its door, an outcome for each piece, and codes after a bisque."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

import pypdfium2
import pytest

from tests.staffed import off_and_out
from tests.studio import ADA, INES, TOM, a_new_piece
from tests.web.pieces.test_pages import next_on, words
from tracker.domain.cones import Cone
from tracker.domain.firing.firings import FiringStage
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.codes import is_issuable
from tracker.domain.pieces.outcomes import Flaw, Outcome
from tracker.domain.pieces.piece import Stage
from tracker.domain.studio.materials import Zone
from tracker.forms.entity import shown_entity
from tracker.forms.studio.studio_file import CATALOG
from tracker.usecases.firing import firings, logs
from tracker.usecases.pieces import pieces
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor

JSON = {"Accept": "application/json"}


def start(visitor: Visitor, at: str = "Back box / mid-range", target: str = "") -> str:
    """The address of a firing that was just started."""
    answer = visitor.post("/firings", {"at": at, "target": target})
    assert answer.status_code == 303
    return answer.location


def queued(room: Room, glaze: str = "Still Water", route: str = "mid-range") -> str:
    """The code of a piece that waits for a route."""
    ref = room.bisqued().ref
    pieces.glaze(room.store, room.asks(TOM), ref, glaze, Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, route)
    return ref


def test_a_kiln_is_offered_only_with_what_it_serves_and_each_cone_with_its_heat(room: Room) -> None:
    page = room.visit(TOM).get("/firings").text

    offered = re.findall(r'<option value="([^"/]+ / [^"]+)"', page)
    assert offered[:2] == ["Back box / mid-range", "Back box / high-fire"]
    assert [one for one in offered if one.startswith("Front")] == ["Front box / bisque", "Front box / low-fire"]
    cones = re.findall(r'<option value="(\d[\d.]*)">Cone (\d[\d.]*), (\d+) °C', page)
    assert [int(celsius) for *_, celsius in cones] == sorted(int(celsius) for *_, celsius in cones)
    assert ("06", "06", "998") in cones


def test_a_kiln_that_is_being_loaded_is_not_offered_again(room: Room) -> None:
    tom = room.visit(TOM)
    start(tom)

    page = tom.get("/firings").text

    assert "Firing 1: Mid-range" in page
    assert '<option value="Back box / ' not in page
    assert '<option value="Front box / bisque"' in page


def test_a_firing_aims_at_its_routes_cone_unless_another_is_chosen(room: Room) -> None:
    tom = room.visit(TOM)

    usual = tom.get(start(tom)).text
    other = tom.get(start(tom, "Front box / low-fire", target="05.5")).text

    assert "to cone 6, 1,222 °C, mid-range" in usual
    assert "to cone 05.5, 1,015 °C" in other


@pytest.mark.parametrize(
    ("at", "target"),
    [("Front box / high-fire", ""), ("No such kiln / bisque", ""), ("", ""), ("Back box / mid-range", "600")],
    ids=["not served", "no such kiln", "nothing chosen", "no cone"],
)
def test_a_firing_that_cannot_be_is_refused_in_a_sentence(room: Room, at: str, target: str) -> None:
    tom = room.visit(TOM)

    answer = tom.post("/firings", {"at": at, "target": target})

    assert answer.status_code == 303
    assert 'class="notice stop"' in tom.get(answer.location).text
    assert room.store.read.firings.listed(open_only=False) == ()


def test_the_door_says_go_to_what_waits_for_it_and_lets_it_out_again(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)

    go = tom.post(f"{here}/in", {"ref": ref}, headers=JSON).get_json()
    out = tom.post(go["undo_url"], headers=JSON).get_json()

    assert (go["ok"], go["word"], go["says"]) == (True, "GO", f"{ref}, tall cup: in the kiln.")
    assert out["ok"]
    assert room.store.read.firings.firing(1).piece_ids == ()  # type: ignore[union-attr]  # it was just started


def test_the_digits_of_a_ticket_are_its_ticket_at_the_kiln_as_in_a_search(room: Room) -> None:
    slip, tom = room.greenware().ref, room.visit(TOM)
    here = start(tom, "Front box / bisque")

    go = tom.post(f"{here}/in", {"ref": slip.removeprefix("W"), "dry": "yes"}, headers=JSON).get_json()

    assert (go["ok"], go["code"]) == (True, slip)


def test_the_door_says_stop_to_what_waits_for_another_kiln_and_names_its_shelf(room: Room) -> None:
    ref, tom = queued(room, "Plum Gloss", "low-fire"), room.visit(TOM)

    answer = tom.post(f"{start(tom)}/in", {"ref": ref}, headers=JSON)

    assert (answer.status_code, answer.get_json()["word"]) == (409, "STOP")
    assert answer.get_json()["mend"] == "Put it back on the Low-fire shelf."


def test_the_door_judges_by_the_firings_own_cone(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)

    answer = tom.post(f"{start(tom, target='8')}/in", {"ref": ref}, headers=JSON)

    assert (answer.status_code, answer.get_json()["word"]) == (409, "STOP")
    assert "Still Water" in answer.get_json()["says"]


def test_the_door_offers_to_ask_the_instructor_once_and_never_shows_that_as_go(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom, target="4")

    stop = tom.post(f"{here}/in", {"ref": ref}, headers=JSON).get_json()
    asked = tom.post(stop["ask_url"], headers=JSON).get_json()
    again = tom.post(f"{here}/in", {"ref": ref}, headers=JSON).get_json()

    assert (stop["ok"], stop["word"]) == (False, "STOP")
    assert (asked["ok"], asked["word"]) == (True, "Asked")
    assert again["word"] == "STOP"
    assert again["ask_url"] is None
    assert f"to cone 4, {Cone.parse('4').celsius:,} °C?" in room.visit(ADA).get("/questions").text


def test_without_script_the_instructor_is_asked_by_a_button_at_the_door(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom, target="4")

    tom.post(f"{here}/in", {"ref": ref})
    page = tom.get(here).text
    tom.post(f"{here}/ask/{ref}")
    door = tom.get(here).text

    assert f'action="{here}/ask/{ref}"' in page
    assert 'class="scan-line undone"' in door
    assert "<span>GO</span>" not in door


def test_without_script_the_last_answer_stands_in_large_type_at_the_door(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)

    tom.post(f"{here}/in", {"ref": ref})
    page = tom.get(here).text

    door = page[page.index('class="at-door"') :]
    assert "<span>GO</span>" in door
    assert "1 in the kiln, 0 waiting" in page


def test_greenware_goes_in_by_its_slip_or_the_address_on_it_and_comes_out_with_codes_to_print(room: Room) -> None:
    slips, tom = [room.greenware(what=f"tile {count}").ref for count in range(3)], room.visit(TOM)
    here = start(tom, "Front box / bisque")
    for slip in (slips[0], slips[1], f"http://127.0.0.1:8000/slip/{slips[2][1:]}"):
        tom.post(f"{here}/in", {"ref": slip, "dry": "yes"})

    tom.post(f"{here}/light")
    tom.post(f"{here}/off")
    form = tom.get(f"{here}/unload").text
    tom.unload(here, {f"outcome-{slip}": "good" for slip in slips[:2]} | {f"outcome-{slips[2]}": "broke"})
    page = tom.get(here).text

    assert form.count('<fieldset class="said">') == 3
    assert not re.search(r'name="outcome-[^>]* checked', form)
    codes = re.findall(r'href="/p/(\w{5})"', page)
    assert len(codes) == 2
    assert all(is_issuable(code) for code in codes)
    assert {room.piece(code).stage for code in codes} == {Stage.BISQUED}
    assert "Print all 2 tags" in page
    assert page.partition('href="/paper/tags?')[2].partition('"')[0].count("ref=") == 2
    assert slips[2] in page[page.index("Broke") :]
    assert room.piece(slips[2]).stage is Stage.LOST


def test_a_glaze_firing_ends_with_an_outcome_for_each_piece(room: Room) -> None:
    good, ran, tom = queued(room), queued(room), room.visit(TOM)
    here = start(tom)
    for ref in (good, ran):
        tom.post(f"{here}/in", {"ref": ref})

    tom.post(f"{here}/light")
    tom.unload(here, {f"outcome-{good}": "good", f"outcome-{ran}": "ran"})
    page = tom.get(here).text

    assert room.store.read.pieces.row(code=ran).outcome == Outcome.of(Flaw.RAN)  # type: ignore[union-attr]  # it was just made
    assert room.piece(good).stage is Stage.FIRED
    assert "<dt>with flaws</dt><dd>1</dd>" in page


def test_several_flaws_and_both_notes_are_ticked_kept_and_shown(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    sent = {f"outcome-{ref}": "crazed", f"flaw-{ref}": ["s-crack", "color-off"]}

    tom.unload(here, {**sent, f"clay_note-{ref}": "by the handle", f"glaze_note-{ref}": "gray"})
    firing, piece = tom.get(here).text, tom.get(f"/p/{ref}").text

    assert "crazed, S-crack, and color off" in firing
    assert all(note in page for note in ("Clay: by the handle", "Glaze: gray") for page in (firing, piece))
    assert "Fired, Mid-range in Back box, firing 1: crazed, S-crack, and color off" in piece


def test_a_piece_that_is_called_underfired_and_overfired_is_asked_about(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")

    answer = tom.unload(here, {f"flaw-{ref}": ["underfired", "overfired"]})

    assert answer.status_code == 422
    assert f"{ref} can&#39;t be both underfired and overfired. Choose one of them." in answer.text
    assert room.piece(ref).stage is Stage.QUEUED


def test_a_piece_that_is_called_good_and_flawed_is_asked_about_and_keeps_what_was_ticked(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")

    answer = tom.unload(here, {f"outcome-{ref}": "good", f"flaw-{ref}": "crawled", f"clay_note-{ref}": "?"})

    assert answer.status_code == 422
    assert f"{ref} can&#39;t be good and have a flaw. Choose one of them." in answer.text
    assert re.search(r'name="flaw-\w+" value="crawled" checked', answer.text)
    assert room.piece(ref).stage is Stage.QUEUED


def test_an_unloading_that_forgets_a_piece_keeps_what_was_chosen_and_changes_nothing(room: Room) -> None:
    first, second, tom = queued(room), queued(room), room.visit(TOM)
    here = start(tom)
    for ref in (first, second):
        tom.post(f"{here}/in", {"ref": ref})

    tom.post(f"{here}/light")
    answer = tom.unload(here, {f"flaw-{first}": "stuck"})

    assert answer.status_code == 422
    assert f"{second} has no result yet." in answer.text
    both = tom.unload(here, {})
    assert f"{first} and {second} have no result yet." in both.text
    assert both.text.count("no result yet") == 1
    assert re.search(rf'name="flaw-{first}" value="stuck" checked', answer.text)
    assert room.piece(first).stage is Stage.QUEUED


def test_all_that_nobody_spoke_of_comes_out_good_when_somebody_says_so(room: Room) -> None:
    first, second, tom = queued(room), queued(room), room.visit(TOM)
    here = start(tom)
    for ref in (first, second):
        tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")

    tom.unload(here, {f"outcome-{first}": "stuck", f"outcome-{second}": "", "rest": "good"})

    came = {row.ref: row.outcome for row in room.store.read.firings.page(1).pieces}  # type: ignore[union-attr]  # it was just made
    assert came == {first: Outcome.of(Flaw.STUCK), second: Outcome.GOOD}


def test_a_firing_that_was_started_by_mistake_is_canceled_and_frees_its_kiln(room: Room) -> None:
    tom = room.visit(TOM)
    here = start(tom)

    answer = tom.post(f"{here}/cancel")

    assert answer.location == here
    assert "Canceled before loading." in tom.get(here).text
    assert '<option value="Back box / mid-range"' in tom.get("/firings").text


def test_unloading_twice_happens_once(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})

    tom.post(f"{here}/light")
    first = tom.unload(here, {f"outcome-{ref}": "good"})
    second = tom.unload(here, {f"outcome-{ref}": "good"})

    assert first.location == second.location == here
    assert room.piece(ref).version == 4


def test_a_firing_that_does_not_exist_and_a_student_are_both_turned_away(room: Room) -> None:
    assert room.visit(TOM).get("/firings/99").status_code == 404
    assert room.visit(INES).get("/firings").status_code == 403


def test_greenware_that_nobody_calls_dry_stays_out_of_the_bisque(room: Room) -> None:
    slip, tom = room.greenware().ref, room.visit(TOM)
    here = start(tom, "Front box / bisque")

    without = tom.post(f"{here}/in", {"ref": slip}, headers=JSON).get_json()
    dry = tom.post(f"{here}/in", {"ref": slip, "dry": "yes"}, headers=JSON).get_json()

    assert without["word"] == "STOP"
    assert without["asks_dry"]
    assert without["tell_url"] is None
    assert dry["word"] == "GO"


def test_whether_a_load_is_dry_is_asked_once_also_without_script(room: Room) -> None:
    slips, tom = [room.greenware(what=f"tile {count}").ref for count in range(2)], room.visit(TOM)
    here = start(tom, "Front box / bisque")

    tom.post(f"{here}/in", {"ref": slips[0]})
    asked = tom.get(here).text.partition("data-scan-dry>")[2].partition("</form>")[0]
    tom.post(f"{here}/in", {"ref": slips[0], "dry": "yes"})
    elsewhere = room.visit(ADA).get(here).text

    assert f'name="ref" value="{slips[0]}"' in asked
    assert 'name="dry" value="yes"' in asked
    assert re.search(r'name="dry" value="yes" id="dry"', elsewhere), "it is one person's word"


def test_a_piece_scanned_twice_is_already_in(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})

    again = tom.post(f"{here}/in", {"ref": ref.lower()}, headers=JSON)

    assert again.status_code == 200
    assert (again.get_json()["ok"], again.get_json()["again"], again.get_json()["code"]) == (True, True, ref)
    assert room.store.read.firings.firing(1).piece_ids == (room.piece(ref).id,)  # type: ignore[union-attr]  # it was just started


def test_a_sets_missing_lid_is_said_at_go_at_the_start_and_at_the_hand_out(room: Room) -> None:
    jar, lid = room.bisqued(what="jar", set_name="tea").ref, room.bisqued(what="lid", set_name="tea").ref
    for ref in (jar, lid):
        pieces.glaze(room.store, room.asks(TOM), ref, "Still Water", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), jar, "mid-range")
    tom = room.visit(TOM)
    here = start(tom)

    go = tom.post(f"{here}/in", {"ref": jar}, headers=JSON).get_json()
    before = tom.get(here).text.partition('data-door-part="inside"')[2]
    tom.post(f"{here}/light")
    started = tom.get(here).text
    tom.unload(here, {f"outcome-{jar}": "good"})
    at_pickup = tom.get(f"/pickup?ref={jar}").text
    tom.post("/pickup", {"ref": jar})

    for said_there in (go["says"], before, started, at_pickup, tom.get("/pickup").text):
        assert f"lid {lid}" in said_there
    assert room.piece(jar).stage is Stage.CLAIMED


def test_what_is_fired_goes_from_the_kilns_door_to_the_pickup_shelf_and_what_broke_in_the_bin(room: Room) -> None:
    ref, ran, broke, tom = queued(room), queued(room), queued(room), room.visit(TOM)
    pieces.lose(room.store, room.asks(TOM), broke, "broken")
    first = start(tom, "Back box / mid-range")
    for one in (ref, ran):
        tom.post(f"{first}/in", {"ref": one})
    tom.post(f"{first}/light")
    tom.post(f"{first}/off")
    tom.post(f"{first}/unload", {f"outcome-{ref}": "good", f"flaw-{ran}": "ran", "fired": "yes"})
    again = start(tom, "Back box / mid-range")

    refs = (ref, ran, broke)
    answer, of_drips, of_shards = (tom.post(f"{again}/in", {"ref": one}, headers=JSON).get_json() for one in refs)

    assert room.piece(ref).stage is Stage.FIRED
    assert answer["word"] == "STOP"
    assert answer["mend"] == "It's fired already. Put it back on the pickup shelf."
    assert "Grind it smooth, then put it on the pickup shelf." in of_drips["mend"]
    assert "Is its glaze still sharp? Grind it smooth first." in tom.get(f"/p/{ran}").text
    assert "lost" not in of_shards["says"]
    assert "keep the shards" in of_shards["mend"]


def test_that_all_is_dry_is_said_once_and_kept_without_script(room: Room) -> None:
    slip, tom = room.greenware().ref, room.visit(TOM)
    here = start(tom, "Front box / bisque")

    asked = tom.get(here).text
    answer = tom.post(f"{here}/in", {"ref": slip, "dry": "yes"})
    kept = tom.get(answer.location).text

    assert re.search(r'name="dry" value="yes" id="dry"', asked)
    assert re.search(r'name="dry" value="yes" checked id="dry"', kept)


def test_a_warning_at_the_door_is_accepted_by_name(room: Room) -> None:
    slip, tom = room.greenware(wall_mm=30).ref, room.visit(TOM)
    here = start(tom, "Front box / bisque")
    scan = {"ref": slip, "dry": "yes"}

    warned = tom.post(f"{here}/in", scan, headers=JSON).get_json()
    accepted = tom.post(f"{here}/in", scan | {"accepts": "thick-wall"}, headers=JSON).get_json()

    assert [one["rule"] for one in warned["needs"]] == ["thick-wall"]
    assert "30 mm thick" in warned["says"]
    assert accepted["word"] == "GO"
    page = words(room.visit(ADA).get(f"/p/{slip}", follow_redirects=True))
    assert "Loaded for Bisque with a warning, in Front box, firing 1 · recorded by Tom Abara" in page
    assert "Signed off: Its wall is 30 mm thick" in page


def test_without_script_the_same_warning_is_accepted_beside_its_sentence(room: Room) -> None:
    slip, tom = room.greenware(wall_mm=30).ref, room.visit(TOM)
    here = start(tom, "Front box / bisque")

    tom.post(f"{here}/in", {"ref": slip, "dry": "yes"})
    form = tom.get(here).text.partition("data-scan-accept")[2].partition("</form>")[0]

    assert f'name="ref" value="{slip}"' in form
    assert 'name="dry" value="yes"' in form
    assert 'name="accepts" value="thick-wall"' in form


def test_the_page_at_the_door_learns_whether_the_kiln_is_still_being_loaded(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})

    loading = tom.get(f"{here}/door").get_json()
    tom.post(f"{here}/light")
    lit = tom.get(f"{here}/door").get_json()

    assert loading == {"open": True, "inside": 1, "says": "", "out": [], "seen": ref}
    assert not lit["open"]
    assert lit["says"] == "Firing 1 is firing: the kiln is closed. Keep the piece for the next firing."
    assert tom.get("/firings/77/door", headers=JSON).status_code == 404


def test_taking_a_piece_out_again_is_one_scan(room: Room) -> None:
    ref, tom = queued(room), room.visit(TOM)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})

    out = tom.post(f"{here}/in", {"ref": ref.lower(), "out": "yes"}, headers=JSON).get_json()
    again = tom.post(f"{here}/in", {"ref": ref, "out": "yes"}, headers=JSON).get_json()

    assert (out["word"], out["says"]) == ("Out", f"{ref}, tall cup: out of the kiln.")
    assert (again["ok"], again["says"]) == (False, f"{ref} isn't in this kiln.")
    assert room.piece(ref).in_firing is None


def test_a_firing_takes_no_step_that_there_is_not(room: Room) -> None:
    tom = room.visit(TOM)

    assert tom.post(f"{start(tom)}/melt").status_code == 404


def test_the_page_of_a_firing_names_what_must_come_out_and_has_it_confirmed(room: Room) -> None:
    tom, ada = room.visit(TOM), room.visit(ADA)
    ref, other, stays = queued(room), queued(room), queued(room, "Wet Slate")
    here = start(tom)
    for one in (ref, other, stays):
        tom.post(f"{here}/in", {"ref": one})
    glaze = dict(shown_entity(CATALOG["glaze"], room.store.read.catalog().glaze("Still Water")))
    sent = {**glaze, "cone_high": "5", "old": "Still Water", "seen": room.store.read.version()}

    asked = ada.post("/catalog/glaze", sent)
    saved = ada.post("/catalog/glaze", {**sent, "confirmed": "yes"}, follow_redirects=True)
    raw = tom.get(here).text
    page = words(tom.get(here))
    sheet = " ".join(_text_of(tom.get(f"{here}/sheet.pdf").data).split())
    listed = words(tom.get("/firings"))
    door = tom.get(f"{here}/door", headers=JSON).json
    tom.post(f"{here}/light")
    refused = words(tom.get(here))
    ticked = tom.post(f"{here}/out/{ref}", headers=JSON).json
    to_load = tom.post(f"{here}/in", {"ref": other}, headers=JSON).json
    scanned = tom.post(f"{here}/in", {"ref": other, "out": "yes"}, headers=JSON).json
    after = words(tom.get(here))
    tom.post(f"{here}/light")

    assert f"You would have to take {ref} and {other} out of Back box." in words(asked)
    assert f"Take {ref} and {other} out of Back box now." in page
    assert f"Confirm {ref} is out" in page
    assert f'<a href="{here}">Firing' in saved.text
    # Nothing draws a phone past what must come out.
    assert "autofocus" not in page
    assert "2 pieces must come out" in listed
    assert "Start the kiln" not in page
    assert door is not None
    assert (door["out"], door["inside"]) == (sorted([ref, other], key=[ref, other].index), 3)
    assert "3 in the kiln, 2 to come out" in page
    assert "3 pieces loaded 2 pieces must come out" in listed
    assert door["seen"].split() == [stays, *sorted([f"-{ref}", f"-{other}"])]
    assert f'data-door-seen="{door["seen"]}"' in raw
    assert f"Take {ref} and {other} out of Back box now." in sheet
    assert "Confirm on the firing's page that each piece is out" in refused
    assert to_load is not None
    assert (to_load["word"], to_load["ok"]) == ("STOP", False)
    for answer in (ticked, scanned):
        assert answer is not None
        assert (answer["word"], answer["ok"], answer["undo_url"]) == ("Out", True, None)
    assert "now." not in after.partition("Scan the piece")[0]
    firing = room.store.read.firings.firing(1)
    assert firing is not None
    assert (firing.stage, len(firing.piece_ids)) == (FiringStage.FIRING, 1)


def test_a_piece_that_must_come_out_says_so_on_its_own_page(room: Room) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    pieces.shelve(room.store, room.asks(TOM), ref, "warm shelf")
    assert "<dd>warm shelf</dd>" in tom.get(f"/p/{ref}").text
    tom.post(f"{here}/in", {"ref": ref})
    inside = tom.get(f"/p/{ref}")
    assert next_on(inside) is Next.LOAD
    assert "warm shelf" not in inside.text.partition(">History<")[0]
    glaze = room.store.read.catalog().glaze("Still Water")

    catalog.change(room.store, room.asks(ADA), replace(glaze, cone_high=Cone.parse("5")), confirmed=True)

    page = tom.get(f"/p/{ref}")
    assert next_on(page) is Next.COME_OUT
    assert "Back box" in words(page)
    assert f'<a class="btn main" href="{here}"' in page.text
    assert "Add a layer" not in page.text
    assert "warm shelf" not in page.text.partition(">History<")[0]


def test_an_open_question_on_a_loaded_piece_is_named_and_linked_and_start_names_the_piece(room: Room) -> None:
    tom, ref, other = room.visit(TOM), queued(room), queued(room)
    here = start(tom)
    for one in (ref, other):
        tom.post(f"{here}/in", {"ref": one})
    before = tom.get(f"{here}/door", headers=JSON).get_json()

    questions.ask(room.store, room.asks(TOM), ref, "Is this the tested batch?", route="mid-range")
    page, door = tom.get(here), tom.get(f"{here}/door", headers=JSON).get_json()
    tom.post(f"{here}/light")
    refused = words(tom.get(here))

    assert f"{ref} has an open question. Get an answer or take the piece out before you start." in words(page)
    assert f'href="/p/{ref}#questions"' in page.text
    assert f"{other} has an open question" not in words(page)
    assert before["seen"] != door["seen"]
    assert f"Take {ref} out first. Or ask the instructor to answer on the piece's page." in refused


def test_the_notes_on_clay_and_glaze_are_apart_from_the_outcome(room: Room) -> None:
    tom, ref = room.visit(TOM), queued(room)
    here = start(tom)
    tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    tom.post(f"{here}/off")

    tom.unload(here, {f"outcome-{ref}": "good", f"clay_note-{ref}": "seam", f"glaze_note-{ref}": "a crawl at it"})

    assert re.search(r"<br>\s*<small>Clay: seam</small><br>\s*<small>Glaze: a crawl at it</small>", tom.get(here).text)


def _text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(BytesIO(pdf))
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


def test_a_kiln_being_loaded_lists_what_may_join_it_and_each_comes_out_by_its_own_step(room: Room) -> None:
    tom = room.visit(TOM)
    slip = pieces.register(room.store, room.asks(TOM), a_new_piece(clay="Roof Tile Red")).ref
    ref = room.bisqued(clay="Roof Tile Red").ref
    pieces.glaze(room.store, room.asks(TOM), ref, "Plum Gloss", Zone.OUTSIDE)
    pieces.queue(room.store, room.asks(TOM), ref, "low-fire")
    queued(room)  # to cone 6, where a bisque would not melt its glaze
    here = start(tom, "Front box / bisque", "06")

    queue = words(tom.get("/waiting"))
    loading = words(tom.get(here))
    tom.post(f"{here}/anew", {"mixed": "yes"})
    planned = words(tom.get(here))
    for one in (slip, ref):
        assert tom.post(f"{here}/in", {"ref": one, "dry": "yes"}, headers=JSON).get_json()["word"] == "GO"
    tom.post(f"{here}/light")
    tom.post(f"{here}/off")
    unloading = words(tom.get(f"{here}/unload"))
    tom.unload(here, {f"outcome-{one}": "good" for one in (slip, ref)})
    results = words(tom.get(here))

    assert "1 piece can also go in with Bisque: firing 1, Front box" in queue
    assert queue.count("can also go in with") == 1
    assert "Other pieces that can go in 1" in loading
    assert ref in planned.partition("Planned, not loaded yet")[2].partition("Greenware waiting")[0]
    assert "Unloading gives each bisqued piece its permanent code" in unloading
    assert "1 piece has a code now" in results
    assert (room.piece(ref).stage, room.piece(slip).stage) == (Stage.FIRED, Stage.BISQUED)


def test_the_firings_page_adds_up_a_year_and_leads_to_the_losses(room: Room) -> None:
    tom = room.visit(TOM)
    for cents in (1430, 2000, None):
        here, ref = start(tom), queued(room)
        tom.post(f"{here}/in", {"ref": ref})
        number = int(here.rsplit("/", 1)[1])
        firings.light(room.store, room.asks(TOM), number)
        off_and_out(room.store, room.asks(TOM), number, {ref: Outcome.GOOD})
        logs.note_cost(room.store, room.asks(TOM), number, kwh=None, fuel_kg=None, cost_cents=cents)

    page = tom.get("/firings")
    of_instructor = room.visit(ADA).get("/firings").text
    room.clock.pass_by(hours=366 * 24)
    later = room.visit(ADA).get("/firings")

    assert "3 firings in the last 12 months. 2 have their cost entered: 34.30 in all." in words(page)
    assert all(f'href="{there}"' in page.text for there in ("/shelves/missing", "/outdoor/losses"))
    assert ('href="/terms"' in page.text, 'href="/terms"' in of_instructor) == (False, True)
    assert "0 firings in the last 12 months. Missing pieces" in words(later)
