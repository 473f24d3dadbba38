"""The page for unloading, as its script speaks with the server: results one by one, and codes that aren't in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tests.studio import ADA, TOM
from tests.web.firing.test_firing_pages import queued, start
from tracker.domain.cones import Cone
from tracker.domain.pieces.outcomes import Flaw, Outcome

if TYPE_CHECKING:
    from tests.web.conftest import Room, Visitor


def _cooling(room: Room, *refs: str) -> tuple[Visitor, str]:
    tom = room.visit(TOM)
    here = start(tom)
    for ref in refs:
        tom.post(f"{here}/in", {"ref": ref})
    tom.post(f"{here}/light")
    tom.post(f"{here}/off")
    return tom, f"{here}/unload"


def _sent(visitor: Visitor, address: str, **fields: Any) -> tuple[int, dict[str, Any]]:  # noqa: ANN401 -- any field of a form
    answer = visitor.post(address, fields, headers={"Accept": "application/json"})
    return answer.status_code, answer.get_json()


def test_results_are_said_one_by_one_on_two_devices_and_the_kiln_is_unloaded_from_them(room: Room) -> None:
    whole, marred, broken = (queued(room) for _ in range(3))
    tom, here = _cooling(room, whole, marred, broken)
    ada = room.visit(ADA)
    ada.get(here)

    _sent(ada, f"{here}/piece", ref=marred, **{f"flaw-{marred}": ["cracked", "crazed"], f"place-{marred}": "Cart 2"})
    _sent(tom, f"{here}/piece", ref=broken, **{f"outcome-{broken}": "broke"})
    stood = {}
    for ref in (marred, whole):
        good = {f"outcome-{ref}": "good", f"unless_said-{ref}": "yes"}
        stood[ref] = _sent(tom, f"{here}/piece", ref=ref, **good)[1]
    shown = tom.get(f"{here}/said").get_json()
    tom.post(here, {"fired": "yes"})

    assert {ref: one["stood"] for ref, one in stood.items()} == {marred: True, whole: False}
    assert stood[marred]["says"] == shown["told"][marred]
    assert ADA.name.split()[0] in shown["told"][marred]
    assert shown["said"] == {
        whole: {"outcome": ["good"]},
        marred: {"flaw": ["crazed", "cracked"], "place": ["Cart 2"]},
        broken: {"outcome": ["broke"]},
    }
    rows = {ref: room.store.read.pieces.row(code=ref) for ref in (whole, marred, broken)}
    assert {ref: row.outcome for ref, row in rows.items() if row} == {
        whole: Outcome.GOOD,
        marred: Outcome.of(Flaw.CRAZED, Flaw.CRACKED),
        broken: Outcome.BROKE,
    }
    assert room.piece(marred).place == "Cart 2"
    assert _sent(tom, f"{here}/piece", ref=whole, **{f"outcome-{whole}": "broke"})[0] == 409


def test_the_rest_goes_on_the_shelf_that_was_named(room: Room) -> None:
    said, rest, broken = (queued(room) for _ in range(3))
    tom, here = _cooling(room, said, rest, broken)
    _sent(tom, f"{here}/piece", ref=said, **{f"outcome-{said}": "good", f"place-{said}": "Cart 2"})
    form = {"fired": "yes", "rest": "good", f"outcome-{broken}": "broke"}

    refused = tom.post(here, {**form, "shelf": said})
    tom.post(here, {**form, "shelf": "  Rack B "})

    assert refused.status_code in {409, 422}
    assert [room.piece(ref).place for ref in (said, rest)] == ["Cart 2", "Rack B"]


def test_a_code_that_is_not_in_the_kiln_stays_on_its_page_until_it_is_dealt_with(room: Room) -> None:
    inside, other = queued(room), queued(room)
    tom, here = _cooling(room, inside)
    off = next(f"{inside[:4]}{last}" for last in "34679ACDEFHJKMNPRTXY" if last != inside[4])

    status, refused = _sent(tom, f"{here}/scan", ref=other)
    _status, unknown = _sent(tom, f"{here}/scan", ref=off)
    page, listed = room.visit(TOM).get(here).text, tom.get("/scan/refused").text
    done = [_sent(tom, one["done_url"]) for one in (refused, unknown)]

    assert (status, refused["code"], refused["piece_url"]) == (409, other, f"/p/{other}")
    assert inside in unknown["likely"]
    assert all(f'data-wrong="{ref}"' in page for ref in (other, off))
    assert f'href="{here}"' in listed
    assert [one["ok"] for _status, one in done] == [True, True]
    assert f'data-wrong="{other}"' not in tom.get(here).text
    assert _sent(tom, f"{here}/scan", ref=inside)[1]["ok"]


def test_what_was_scanned_too_late_is_set_aside_at_unloading_and_no_cold_kiln_is_switched_off(room: Room) -> None:
    inside, late = queued(room), queued(room)
    tom = room.visit(TOM)
    firing, shut = start(tom), "switch it off"
    here = f"{firing}/unload"
    tom.post(f"{firing}/in", {"ref": inside})
    tom.post(f"{firing}/light")
    _sent(tom, f"{firing}/in", ref=late)
    seen = [shut in tom.get(firing).text]
    tom.post(f"{firing}/off")
    seen += [shut in tom.get(where).text for where in (firing, here, "/scan/refused")]
    assert "keep the kiln shut and tell" in tom.get(here).text

    _status, refused = _sent(tom, f"{here}/scan", ref=late)
    tom.post(here, {"fired": "yes", f"outcome-{inside}": "good"})

    assert "after its kiln had started" in refused["says"]
    seen += [shut in tom.get(where).text for where in (firing, "/scan/refused")]
    assert seen == [True, False, False, False, False, False]
    assert late in tom.get(firing).text


def test_a_firing_that_fell_short_is_unloaded_by_the_cone_that_is_chosen_and_none_is_good_with_the_rest(
    room: Room,
) -> None:
    ref = queued(room)
    tom, here = _cooling(room, ref)
    seen = {"cone-1": "4", "stands-1": "down", "cone-2": "5", "stands-2": "standing", "kind": "self-supporting"}
    tom.post(here.replace("/unload", "/cones"), seen)
    good = {f"outcome-{ref}": "good", "fired": "yes"}

    answers = [
        tom.post(here, sent) for sent in (good, {"counts": "4", "rest": "good", "fired": "yes"}, good | {"counts": "4"})
    ]

    assert [one.status_code // 100 for one in answers] == [4, 4, 3]
    _before, _, refused = answers[1].text.partition('class="problems" role="alert" tabindex')
    box, _, _after = refused.partition("</div>")
    assert "cone 4," in box
    assert ref not in box
    assert room.piece(ref).fired_to == Cone.parse("4")
    tom.post(here.replace("/unload", "/counts"), {"counts": "6"})
    assert room.piece(ref).fired_to == Cone.parse("6")


def test_today_and_the_firings_page_say_that_a_kiln_which_is_on_went_over_its_target(room: Room) -> None:
    tom, here = _cooling(room, queued(room))
    tom.post(here.replace("/unload", "/on"))

    tom.post(here.replace("/unload", "/cones"), {"cone-1": "8", "stands-1": "down", "kind": "self-supporting"})

    page, today = tom.get(here.replace("/unload", "")).get_data(as_text=True), tom.get("/today").get_data(as_text=True)
    assert 'id="missed"' in page
    assert "Switch the kiln off now" in page
    assert "Switch the kiln off now" in today


def test_witness_cones_and_a_log_that_contradict_each_other_are_asked_about_on_the_firings_page_and_at_unloading(
    room: Room,
) -> None:
    ref = queued(room)
    tom = room.visit(TOM)
    firing = start(tom)
    tom.post(f"{firing}/in", {"ref": ref})
    room.clock.pass_by(hours=-30)
    tom.post(f"{firing}/light")
    room.clock.pass_by(hours=30)
    # At 60 °C an hour to 982 °C, and cooled: some cones short of 6, of which the witness cones know nothing.
    heats = [22 + 60 * hour for hour in range(17)] + [700, 300, 60]
    tom.post(
        f"{firing}/log",
        {"text": "hours,°C\n" + "\n".join(f"{at},{heat}" for at, heat in enumerate(heats)), "accepts": "yes"},
    )
    tom.post(f"{firing}/off")
    tom.post(f"{firing}/cones", {"cone-1": "6", "stands-1": "tip", "kind": "self-supporting"})

    seen = tom.get(firing).text
    asked = tom.get(f"{firing}/unload").text
    refused = tom.post(f"{firing}/unload", {f"outcome-{ref}": "good"})
    tom.post(f"{firing}/unload", {f"outcome-{ref}": "good", "counts": "6"})
    settled = tom.get(firing).text

    assert all("One of them is wrong." in page for page in (seen, asked))
    assert all(note in asked for note in ("Proposed: its witness cones say so", "Its log says so."))
    assert refused.status_code == 409
    assert room.piece(ref).fired_to == Cone.parse("6")
    assert 'role="alert"' not in settled.partition('id="missed"')[2].partition(">")[0]
