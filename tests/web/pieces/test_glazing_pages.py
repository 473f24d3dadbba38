"""The page on which a piece is glazed: the shelf, a layer on and off, and where the piece should be fired."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tests.domain.pieces.test_pieces import a_piece
from tests.photographed import tiled
from tests.reading import all_in
from tests.studio import ADA, INES, MIRA, TOM, a_glaze, a_new_piece, a_studio
from tracker.domain.cones import Cone
from tracker.domain.findings import Level
from tracker.domain.firing.outlooks import Next
from tracker.domain.pieces.new_pieces import Batch, Lid
from tracker.domain.pieces.piece import Foot, Piece, Stage, Use
from tracker.domain.rules.engine import RULES
from tracker.domain.studio.catalog_changes import with_thing
from tracker.domain.studio.materials import Coat, Layer, Zone
from tracker.usecases.pieces import glaze_shelf as shelf
from tracker.usecases.pieces import pieces, registering, wishes
from tracker.usecases.pieces.lookup import find_row
from tracker.usecases.pieces.outlooks import outlook_of
from tracker.usecases.rules import questions
from tracker.usecases.studio import catalog as materials
from tracker.web.pieces.glazing_presenters import firings_shown
from tracker.wording.reader import ANYONE
from tracker.wording.render import say

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

    from tests.web.conftest import Room


def plain(markup: str) -> str:
    """What a piece of a page says, without its markup."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def glazes_on(answer: TestResponse) -> dict[str, tuple[str, str]]:
    """What the shelf says of each glaze, by its name: the verdict's level, and its words."""
    card = r'<li class="glaze (\w+)"(.*?)(?=<li class="glaze|</ul></details>|</fieldset>)'
    refused = re.findall(r"<li data-words=(.*?)</li>\s*(?=<li|</ul>)", answer.text, re.DOTALL)
    found = [*re.findall(card, answer.text, re.DOTALL), *(("refuse", one) for one in refused)]
    names = [html.unescape(re.findall(r"<b>([^<]+)</b>", inside)[0]) for _level, inside in found]
    return {name: (level, plain(f"<{inside}")) for name, (level, inside) in zip(names, found, strict=True)}


def part(answer: TestResponse, name: str) -> str:
    """The words of the fold that is called so, and of what is folded in it."""
    return plain(re.split(r"<details class=\"more part\"|</fieldset>", answer.text.partition(f"<summary>{name}")[2])[0])


# ---- the shelf -------------------------------------------------------------------------------------------------


def test_every_glaze_is_judged_for_the_piece_and_none_is_left_out(room: Room) -> None:
    bowl = room.bisqued(use=Use.FOOD)

    answer = room.visit(INES).get(f"/p/{bowl.code}/glaze")

    found = glazes_on(answer)
    assert set(found) == set(room.store.read.catalog().glazes)
    assert {name: found[name][0] for name in ("Iron Gate", "Wet Slate", "Attic Window", "Gilt Edge")} == {
        "Iron Gate": "clear",
        "Wet Slate": "warn",
        "Attic Window": "ask",
        "Gilt Edge": "refuse",
    }
    for says in ("High-fire, cone 10, 1,285 °C", "cone 9 to 10", "shelf 3", "Apply by dip"):
        assert says in found["Iron Gate"][1]
    assert "decorative only, and this piece is functional" in found["Gilt Edge"][1]
    assert 'name="glaze" value="Gilt Edge"' not in answer.text


def test_what_can_go_is_shown_at_once_and_the_rest_is_folded_by_reason(room: Room) -> None:
    bowl = room.bisqued(use=Use.FOOD)

    answer = room.visit(INES).get(f"/p/{bowl.code}/glaze")

    at_once = answer.text.partition('<details class="more part"')[0]
    assert "Iron Gate" in at_once
    assert "Attic Window" in part(answer, "Need the instructor's approval")
    assert re.search(r"<h3>Not for food<.*?Gilt Edge", answer.text, re.DOTALL)
    red = room.bisqued(use=Use.FOOD, clay="Roof Tile Red")
    never = part(room.visit(INES).get(f"/p/{red.code}/glaze"), "Can't go on this piece")
    assert never.count("Roof Tile Red absorbs") == 1, "what holds of several is said once"


@pytest.mark.parametrize(
    ("clay", "foot", "glaze", "zone", "heading", "reason"),
    [
        ("Doorstep Buff", Foot.WIPED, "Plum Gloss", Zone.INSIDE, "reason-heat", "glaze-melts-off"),
        ("Doorstep Buff", Foot.BARE, "Plum Gloss", Zone.INSIDE, "reason-heat", "glaze-melts-off"),
        ("Doorstep Buff", Foot.BARE, "Iron Gate", Zone.OUTSIDE, "reason-kiln", "foot-not-clear"),
        ("Doorstep Buff", Foot.WIPED, "Gilt Edge", Zone.INSIDE, "reason-food", "decorative-glaze-for-food"),
        ("Middle Gray", Foot.WIPED, "Iron Gate", Zone.INSIDE, "reason-heat", "glaze-underfired"),
        # It holds no food in any firing, whatever is on it.
        ("Roof Tile Red", Foot.WIPED, "Iron Gate", Zone.INSIDE, "reason-clay", "clay-porous-for-food"),
        ("Roof Tile Red", Foot.WIPED, "Plum Gloss", Zone.INSIDE, "reason-clay", "clay-porous-for-food"),
        ("Roof Tile Red", Foot.WIPED, "Gilt Edge", Zone.INSIDE, "reason-food", "decorative-glaze-for-food"),
    ],
)
def test_a_glaze_is_listed_under_what_keeps_it_out_of_the_firings_that_take_the_piece_and_nothing_else_is_told(
    clay: str, foot: Foot, glaze: str, zone: Zone, heading: str, reason: str
) -> None:
    known = a_studio().catalog
    bowl = Piece(
        id=1, code=None, what="bowl", maker_id=1, stage=Stage.BISQUED, clay=known.clays[clay], use=Use.FOOD, foot=foot
    )

    never = shelf.sorted_shelf(shelf.candidates_for(bowl, known, zone)).never

    (told,) = ((head, one) for head, many in never.items() for one in many if one.name == glaze)
    codes = {one.code for one in all_in(finding.message for finding in told[1].findings)}
    assert (told[0].code, codes & {rule.name for rule in RULES}) == (heading, {reason})


def test_a_glaze_hotter_than_the_clay_stands_is_offered_to_no_approval(room: Room) -> None:
    bowl, catalog = room.bisqued(), room.store.read.catalog()
    bowl = replace(bowl, clay=catalog.clays["Middle Gray"])

    sorted_out = shelf.sorted_shelf(shelf.candidates_for(bowl, catalog))

    too_hot = {name for name, glaze in catalog.glazes.items() if glaze.cone_low > bowl.clay.ceiling}
    never = {one.name for many in sorted_out.never.values() for one in many}
    assert too_hot
    assert too_hot <= never
    assert not too_hot & {one.name for one in sorted_out.ask_first}
    told = [one.findings for many in sorted_out.never.values() for one in many if one.name in too_hot]
    assert [(why.level, why.message["top"]) for (why,) in told] == [(Level.REFUSE, bowl.clay.ceiling)] * len(too_hot)


def test_a_second_layer_is_judged_on_top_of_the_first(room: Room) -> None:
    cup = room.bisqued()
    pieces.glaze(room.store, room.asks(INES), cup.ref, "Plum Gloss", Zone.INSIDE)

    answer = room.visit(INES).get(f"/p/{cup.code}/glaze")

    level, says = glazes_on(answer)["Iron Gate"]
    assert level == "refuse"
    assert "Plum Gloss" not in says
    assert answer.text.count(say(shelf.NO_CONE_FITS, ANYONE)) == 1
    assert re.search(r'<ol class="layers"><li>.*?<b>Plum Gloss</b><small>inside', answer.text, re.DOTALL)


def test_the_tile_of_this_clay_and_cone_is_shown_and_its_glaze_comes_first(room: Room) -> None:
    cup = room.bisqued()
    here = tiled(room.store, "Wet Slate", room.person(ADA), cone="6")
    other = tiled(room.store, "Wet Slate", room.person(ADA), clay="Lantern White", cone="6", color="#aa2222")
    elsewhere = tiled(room.store, "Attic Window", room.person(ADA), clay="Lantern White", cone="6")

    page = room.visit(INES).get(f"/p/{cup.code}/glaze").text

    assert page.index(here) < page.index(elsewhere)
    assert other not in page


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("find=water", {"Still Water"}),
        ("find=slate+wet", {"Wet Slate"}),
        ("color=blue", {"Wet Slate"}),
        ("color=red", set()),
        ("find=water&color=blue", set()),
    ],
)
def test_the_shelf_is_searched_by_the_address_alone(room: Room, asked: str, found: set[str]) -> None:
    cup = room.bisqued()
    tiled(room.store, "Wet Slate", room.person(ADA), color="#3a5484")

    answer = room.visit(INES).get(f"/p/{cup.code}/glaze?{asked}")

    assert set(glazes_on(answer)) == found


def test_a_near_miss_is_a_link_that_picks_the_glaze(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    page = ines.get(f"/p/{cup.code}/glaze?find=still+wotter").text

    (link,) = re.findall(r'Did you mean <a href="([^"]+)">Still Water</a>', page)
    assert 'name="glaze" value="Still Water" checked' in ines.get(html.unescape(link)).text


def test_greenware_shows_the_shelf_for_planning_but_offers_nothing_to_take(room: Room) -> None:
    tile = room.greenware()

    answer = room.visit(INES).get(f"/p/{tile.ref}/glaze")

    assert "Still Water" in part(answer, "After the bisque")
    assert 'name="glaze"' not in answer.text


@pytest.mark.parametrize(
    ("clay", "next_", "asks"), [("Roof Tile Red", Next.UNFIT, False), ("Box of scraps", Next.IDENTIFY, True)]
)
def test_food_in_a_clay_that_no_glaze_can_go_on_is_told_what_to_do_on_every_page(
    room: Room, clay: str, next_: Next, *, asks: bool
) -> None:
    bowl, ines = room.bisqued(clay=clay, use=Use.FOOD), room.visit(INES)
    row = find_row(room.store.read, bowl.ref, room.person(INES))
    page = ines.get(f"/p/{bowl.ref}/glaze").text
    form = dict(
        re.findall(
            r'name="(\w+)" value="([^"]*)"', page.partition(f'action="/p/{bowl.ref}/known"')[2].split("</form>")[0]
        )
    )

    done = ines.post(f"/p/{bowl.ref}/known", {name: html.unescape(value) for name, value in form.items()})

    assert outlook_of(room.store.read, row, room.clock()).next is next_
    assert ("about=clay" in page) is asks
    assert done.status_code == 303
    assert room.piece(bowl.ref).use is Use.DECORATIVE
    assert f'action="/p/{bowl.ref}/known"' not in ines.get(f"/p/{bowl.ref}/glaze").text


def test_the_shelf_is_judged_for_the_foot_where_that_is_asked(room: Room) -> None:
    cup, ines = room.bisqued(), room.visit(INES)

    elsewhere = ines.get(f"/p/{cup.code}/glaze")
    foot = ines.get(f"/p/{cup.code}/glaze?zone=foot")

    assert glazes_on(elsewhere)["Iron Gate"][0] == "clear"
    assert glazes_on(foot)["Iron Gate"][0] == "ask"
    assert re.search(r'name="zone" value="foot"[^>]* checked', foot.text)


def test_a_glaze_over_another_is_judged_for_the_inside_of_a_piece_for_food(room: Room) -> None:
    ref = room.bisqued(INES, use=Use.FOOD, clay="Middle Gray").ref
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.INSIDE)
    piece, catalog = room.piece(ref), with_thing(a_studio(), a_glaze("Rain Barrel")).catalog

    found = {
        zone: next(one for one in shelf.candidates_for(piece, catalog, zone) if one.name == "Rain Barrel")
        for zone in (Zone.OUTSIDE, Zone.INSIDE, Zone.ALL_OVER)
    }

    layered = {zone for zone, one in found.items() if "layered-for-food" in {finding.rule for finding in one.findings}}
    assert layered == {Zone.INSIDE, Zone.ALL_OVER}


@pytest.mark.parametrize(
    ("on_it", "zone"),
    [
        ((), Zone.ALL_OVER),
        ((Zone.INSIDE,), Zone.OUTSIDE),
        ((Zone.OUTSIDE,), Zone.INSIDE),
        ((Zone.ALL_OVER,), Zone.OUTSIDE),
        ((Zone.INSIDE, Zone.OUTSIDE), Zone.OUTSIDE),
    ],
    ids=["bare", "lined", "outside alone", "all over", "both sides"],
)
def test_the_zone_that_is_still_bare_is_picked_beforehand(room: Room, on_it: tuple[Zone, ...], zone: Zone) -> None:
    ref = room.bisqued(INES).ref
    for one in on_it:
        pieces.glaze(room.store, room.asks(INES), ref, "Still Water", one)

    page = room.visit(INES).get(f"/p/{ref}/glaze").text

    assert re.findall(r'name="zone" value="([a-z-]+)"[^>]* checked', page) == [zone.value]


def test_the_zone_comes_before_the_glazes_and_is_the_only_one_to_choose(room: Room) -> None:
    page = room.visit(INES).get(f"/p/{room.bisqued(INES).ref}/glaze?zone=inside").text

    assert page.index('name="zone" value="inside"') < page.index('name="glaze"')
    assert "?zone=" not in page


def test_a_warning_that_the_page_has_not_shown_is_shown_before_the_layer_goes_on(room: Room) -> None:
    ref, ines = room.bisqued(INES, use=Use.FOOD, clay="Middle Gray").ref, room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.INSIDE)
    sent = {"glaze": "Attic Window", "zone": "inside", "foot": "wiped"}

    first = ines.post(f"/p/{ref}/glaze", sent | {"checked_for": "outside"})
    now = len(room.piece(ref).layers)
    again = ines.post(f"/p/{ref}/glaze", sent | {"checked_for": "inside"})

    assert (first.status_code, now, again.status_code) == (409, 1, 303)
    assert "tested or declared alone" in plain(first.text)
    assert 'name="checked_for" value="inside"' in first.text


def test_without_script_the_shelf_is_checked_for_another_zone_and_nothing_goes_on(room: Room) -> None:
    ref = room.bisqued(INES).ref

    answer = room.visit(INES).post(f"/p/{ref}/glaze", {"zone": "foot", "glaze": "Iron Gate", "check": "yes"})

    assert glazes_on(answer)["Iron Gate"][0] == "ask"
    assert 'value="Iron Gate" checked' in answer.text
    assert room.piece(ref).layers == ()


def test_a_glaze_that_the_heat_keeps_off_has_no_fix_that_washes_it_off(room: Room) -> None:
    ref = room.bisqued(INES).ref
    pieces.glaze(room.store, room.asks(INES), ref, "Plum Gloss", Zone.INSIDE)

    found = shelf.candidates_for(room.piece(ref), room.store.read.catalog())

    by_heat = [one for one in found if not one.can_go_on and one.reason.code == "layers-share-no-heat"]
    assert by_heat
    assert all(finding.remedy is None for one in by_heat for finding in one.findings)


def test_a_layer_under_others_is_asked_about_before_it_comes_off(room: Room) -> None:
    ref = room.bisqued(INES).ref
    for glaze, zone in (("Still Water", Zone.INSIDE), ("Wet Slate", Zone.ALL_OVER), ("Still Water", Zone.FOOT)):
        pieces.glaze(room.store, room.asks(INES), ref, glaze, zone)

    layers_on = room.visit(INES).get(f"/p/{ref}/glaze").text.partition('<ol class="layers">')[2].partition("</ol>")[0]

    assert ["Recorded by mistake?" in plain(one) for one in layers_on.split("<li>")[1:]] == [True, True, False]


# ---- a layer on ------------------------------------------------------------------------------------------------


def test_a_glaze_that_is_picked_goes_on_the_zone_that_was_picked(room: Room) -> None:
    cup = room.bisqued()
    fields = {"glaze": "Iron Gate", "zone": "all-over", "foot": "wiped", "seen": str(cup.version)}

    answer = room.visit(INES).post(f"/p/{cup.code}/glaze", fields, follow_redirects=True)

    ((layer),) = room.piece(cup.ref).layers
    assert (layer.glaze.name, layer.zone) == ("Iron Gate", Zone.ALL_OVER)
    assert answer.request.path == f"/p/{cup.code}/glaze"


@pytest.mark.parametrize(
    ("glaze", "status", "says"),
    [
        ("Gilt Edge", 409, "decorative only, and this piece is functional"),
        ("Ember Luster", 409, "Ember Luster"),
        ("Moon Milk", 404, "There is no glaze called “Moon Milk” here."),
        ("", 422, "Pick a glaze."),
    ],
    ids=["decorative on food", "outdoor on food", "unknown", "none picked"],
)
def test_a_glaze_that_cannot_go_is_refused_with_its_reason_and_nothing_is_put_on(
    room: Room, glaze: str, status: int, says: str
) -> None:
    bowl = room.bisqued(use=Use.FOOD)

    answer = room.visit(INES).post(f"/p/{bowl.code}/glaze", {"glaze": glaze, "zone": "inside", "foot": "wiped"})

    assert answer.status_code == status
    assert says in plain(answer.text)
    assert room.piece(bowl.ref).layers == ()


def test_a_layer_goes_on_only_once_somebody_has_said_what_was_done_to_the_foot(room: Room) -> None:
    cup = room.bisqued()
    ines = room.visit(INES)
    fields = {"glaze": "Iron Gate", "zone": "outside"}

    without = ines.post(f"/p/{cup.code}/glaze", fields)
    with_it = ines.post(f"/p/{cup.code}/glaze", fields | {"foot": "wiped"})
    second = ines.post(f"/p/{cup.code}/glaze", {"glaze": "Gilt Edge", "zone": "lip"})

    assert without.status_code == 422
    assert 'href="#foot"' in without.text
    assert (with_it.status_code, second.status_code) == (303, 303)
    assert room.piece(cup.ref).foot is Foot.WIPED


def test_the_wax_step_has_said_it_of_the_foot_already(room: Room) -> None:
    cup = room.bisqued()
    pieces.wax(room.store, room.asks(INES), cup.ref)

    answer = room.visit(INES).post(f"/p/{cup.code}/glaze", {"glaze": "Iron Gate", "zone": "outside"})

    assert answer.status_code == 303
    assert room.piece(cup.ref).foot is Foot.WAXED


def test_wax_on_bare_ware_is_for_the_foot_until_somebody_says_otherwise(room: Room) -> None:
    # Common practice: the foot is waxed, and wax all over would keep off all glaze.
    materials.add(room.store, room.asks(ADA), a_glaze("Foot wax", coat=Coat.WAX))
    cup, ines = room.bisqued(), room.visit(INES)

    picked = ines.get(f"/p/{cup.code}/glaze?taken=Foot+wax")
    all_over = ines.post(f"/p/{cup.code}/glaze", {"glaze": "Foot wax", "zone": "all-over"})
    inside = ines.post(f"/p/{cup.code}/glaze", {"glaze": "Foot wax", "zone": "inside"})

    chosen = r'name="zone" value="([a-z-]+)"[^>]* checked'
    assert re.findall(chosen, picked.text) == re.findall(chosen, all_over.text) == ["foot"]
    assert (all_over.status_code, inside.status_code) == (422, 303)


def test_glaze_over_a_bare_foot_is_refused_with_what_would_put_it_right(room: Room) -> None:
    cup = room.bisqued(use=Use.FOOD)

    answer = room.visit(INES).post(f"/p/{cup.code}/glaze", {"glaze": "Iron Gate", "zone": "outside", "foot": "bare"})

    assert answer.status_code == 409
    assert "isn't waxed or wiped 6 mm" in plain(answer.text)
    assert "With its foot wiped 6 mm up the side, it can go in High-fire" in plain(answer.text)


def test_after_a_refusal_the_shelf_is_judged_for_the_zone_and_the_foot_that_were_sent(room: Room) -> None:
    cup, ines = room.bisqued(use=Use.FOOD), room.visit(INES)
    sent = {"glaze": "Iron Gate", "zone": "foot", "foot": "waxed", "seen": str(cup.version)}

    answer = ines.post(f"/p/{cup.code}/glaze", sent)

    assert answer.status_code == 409
    assert glazes_on(answer)["Iron Gate"][0] == "refuse"
    assert "Iron Gate on the foot would stick the piece to the kiln shelf" in glazes_on(answer)["Iron Gate"][1]


def test_a_glaze_that_needs_approval_says_so_and_asks_with_the_same_button(room: Room) -> None:
    bowl, ines = room.bisqued(use=Use.FOOD), room.visit(INES)

    before = ines.get(f"/p/{bowl.code}/glaze")
    ines.post(f"/p/{bowl.code}/glaze", {"glaze": "Attic Window", "zone": "outside", "foot": "wiped"})
    after = ines.get(f"/p/{bowl.code}/glaze")

    (question,) = room.store.read.questions.open()
    assert question.ref == bowl.ref
    assert "Applying it sends the question." in glazes_on(before)["Attic Window"][1]
    assert "instructor was asked" in plain(after.text.partition('id="fire"')[2])
    assert glazes_on(after)["Wet Slate"][0] != "refuse"


def test_the_question_withdrawn_is_offered_again_where_no_firing_is_open(room: Room) -> None:
    ref, ines = room.bisqued(use=Use.FOOD).ref, room.visit(INES)
    ines.post(f"/p/{ref}/glaze", {"glaze": "Attic Window", "zone": "outside", "foot": "wiped"})
    (question,) = room.store.read.questions.open()

    def offers(page: str) -> bool:
        return f'name="route" value="{question.route}"' in page.partition('id="fire"')[2].partition("<details")[0]

    while_open = ines.get(f"/p/{ref}/glaze").text
    questions.withdraw(room.store, room.asks(INES), ref, question.id)
    withdrawn = ines.get(f"/p/{ref}/glaze").text

    assert not offers(while_open)
    assert offers(withdrawn)


# ---- layers off ------------------------------------------------------------------------------------------------


def test_each_layer_has_its_own_way_off_and_layers_alike_are_one_line(room: Room) -> None:
    ref, ines = room.bisqued(INES).ref, room.visit(INES)
    for zone in (Zone.OUTSIDE, Zone.OUTSIDE, Zone.LIP):
        pieces.glaze(room.store, room.asks(INES), ref, "Still Water", zone)

    page = ines.get(f"/p/{ref}/glaze").text
    ines.post(f"/p/{ref}/glaze/off", {"layer": "1", "seen": str(room.piece(ref).version)})

    assert re.findall(r'name="layer" value="(\d)"', page) == ["1", "2"]
    assert [one.zone for one in room.piece(ref).layers] == [Zone.OUTSIDE, Zone.LIP]


def test_raw_glaze_is_washed_off_only_after_a_question_and_leads_back(room: Room) -> None:
    ref, ines = room.bisqued(INES).ref, room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)

    page = ines.get(f"/p/{ref}/glaze").text
    answer = ines.post(f"/p/{ref}/step", {"step": "wash off", "ref": ref, "glazing": "yes"}, follow_redirects=True)

    assert '<form class="confirm"' in page.partition("Wash all glaze off")[2].partition("</details>")[0]
    assert answer.request.path == f"/p/{ref}/glaze"
    assert room.piece(ref).layers == ()


def test_slip_on_greenware_asks_nothing_of_the_foot_and_is_never_told_to_go_under_water(room: Room) -> None:
    slip = a_glaze("Chalk slip", coat=Coat.SLIP, cone_low="06", cone_high="10")
    materials.add(room.store, room.asks(ADA), slip)
    raw = room.greenware(INES).ref
    pieces.glaze(room.store, room.asks(INES), raw, "Chalk slip", Zone.OUTSIDE, foot=Foot.WAXED)

    pages = [room.visit(INES).get(address).text for address in (f"/p/{raw}/glaze", f"/slip/{raw[1:]}")]

    assert 'name="glaze"' in pages[0]
    assert 'name="foot"' not in pages[0]
    assert room.piece(raw).foot is None, "wax on it burns off in the bisque"
    for page in pages:
        assert 'value="wash off"' in page
        assert not re.search(r"wash (it|the)|sink|\brinse off", page, re.IGNORECASE)


def test_an_open_question_is_told_and_withdrawn_where_the_piece_is_looked_at(room: Room) -> None:
    ref, ines = room.bisqued(INES).ref, room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)
    wishes.wish(room.store, room.asks(INES), ref, "mid-range")
    ines.post(f"/p/{ref}/ask", {"text": "Can it be fired by Friday?"})

    glazing, page, staffs = ines.get(f"/p/{ref}/glaze"), ines.get(f"/p/{ref}"), room.visit(TOM).get(f"/p/{ref}")
    (withdraw,) = re.findall(rf'action="(/p/{ref}/questions/\d+/withdraw)"', page.text)
    ines.post(withdraw)

    assert f'href="/p/{ref}#questions"' in glazing.text
    assert "/put-away" not in glazing.text
    assert withdraw not in staffs.text
    assert not room.piece(ref).has_question


# ---- where it should be fired ----------------------------------------------------------------------------------


def test_the_page_ends_with_the_firings_that_take_the_piece_and_the_wish_stays_with_it(room: Room) -> None:
    ref, ines = room.bisqued(INES, use=Use.FOOD, clay="Middle Gray").ref, room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.ALL_OVER, foot=Foot.WIPED)

    page = ines.get(f"/p/{ref}/glaze").text
    answer = ines.post(f"/p/{ref}/glaze/fire", {"route": "mid-range", "seen": str(room.piece(ref).version)})
    again = ines.get(f"/p/{ref}/glaze").text

    offered = re.findall(r'name="route" value="([a-z-]+)"', page.partition('id="fire"')[2])
    row = room.store.read.pieces.row(code=ref)
    assert offered == ["mid-range"]
    assert answer.headers["Location"].endswith(f"/p/{ref}")
    assert row is not None
    assert row.wish is not None
    assert (row.wish.route, row.wish.by) == ("mid-range", INES.name)
    assert re.findall(r'name="route" value="([a-z-]+)"', again.partition('id="fire"')[2]) == []
    assert f"/p/{ref}/glaze/withdraw" in again


def test_a_firing_that_the_rules_refuse_is_refused_to_a_bent_form_too(room: Room) -> None:
    ref, ines = room.bisqued(INES).ref, room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Plum Gloss", Zone.ALL_OVER, foot=Foot.WIPED)

    answer = ines.post(f"/p/{ref}/glaze/fire", {"route": "high-fire"})

    row = room.store.read.pieces.row(code=ref)
    assert answer.status_code == 409
    assert row is not None
    assert row.wish is None


def test_nobody_says_where_somebody_elses_piece_is_fired_or_takes_a_layer_off_it(room: Room) -> None:
    ref, mira = room.bisqued(INES).ref, room.visit(MIRA)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.ALL_OVER)

    fire = mira.post(f"/p/{ref}/glaze/fire", {"route": "mid-range"})
    off = mira.post(f"/p/{ref}/glaze/off", {"layer": "0"})

    assert (fire.status_code, off.status_code) == (404, 404)


def test_a_piece_without_glaze_is_offered_no_firing_and_one_in_a_queue_is_asked_nothing(room: Room) -> None:
    bare, ines = room.bisqued(INES, use=Use.FOOD).ref, room.visit(INES)
    waits = room.bisqued(INES).ref
    pieces.glaze(room.store, room.asks(INES), waits, "Still Water", Zone.ALL_OVER, foot=Foot.WIPED)
    wishes.wish(room.store, room.asks(INES), waits, "mid-range")
    room.clock.pass_by(hours=30)
    pieces.queue(room.store, room.asks(TOM), waits, "mid-range")

    pages = [ines.get(f"/p/{ref}/glaze").text for ref in (bare, waits)]

    assert room.piece(waits).stage is Stage.QUEUED
    assert [re.findall(r'name="route"', page) for page in pages] == [[], []]
    assert ['id="fire"' in page for page in pages] == [True, False]


def test_a_maker_puts_back_what_came_off_by_mistake_and_nobody_elses_page_offers_it(room: Room) -> None:
    ref = room.bisqued().ref
    ines = room.visit(INES)
    pieces.glaze(room.store, room.asks(INES), ref, "Still Water", Zone.OUTSIDE)
    pieces.wash_off(room.store, room.asks(INES), ref)

    (back,) = re.findall(rf'action="(/p/{ref}/put-back/\d+)"', ines.get(f"/p/{ref}/glaze").text)
    others = room.visit(TOM).get(f"/p/{ref}").text
    shown = ines.post(back, {"glazing": "yes"}, follow_redirects=True)

    assert "/put-back/" not in others
    assert room.piece(ref).worn_names == ("Still Water",)
    assert shown.request.path == f"/p/{ref}/glaze"
    assert "/put-back/" not in shown.text + ines.get(f"/p/{ref}").text


def test_a_piece_on_the_cart_of_a_firing_that_it_may_be_asked_for_is_told_one_thing(room: Room) -> None:
    ref = room.bisqued(clay="Gravel Walk", burnished=True).ref
    cart = wishes.place_for(room.store.read.catalog().route("horsehair"))
    pieces.shelve(room.store, room.asks(TOM), ref, cart)

    page = firings_shown(room.store.read.pieces.page(room.piece(ref).id), room.store.read.catalog(), room.asks(TOM).at)

    assert page is not None
    assert page["off"].code == "ask-or-off-its-cart"
    assert dict(page["off"].facts)["cart"] == cart


@pytest.mark.parametrize("fired_to", [None, Cone.parse("06")], ids=["came bisqued", "bisqued here"])
def test_a_slip_on_fired_clay_is_left_off_before_it_is_on_and_washed_off_after(fired_to: Cone | None) -> None:
    known, chalk = a_studio().catalog, a_glaze("Chalk", coat=Coat.SLIP, cone_low="06", cone_high="10")
    known = replace(known, glazes={**known.glazes, chalk.name: chalk})
    cup = a_piece(Stage.BISQUED, clay=known.clays["Gravel Walk"], foot=Foot.WAXED, fired_to=fired_to)

    def way_out(piece: Piece, name: str) -> str:
        (one,) = (one for one in shelf.candidates_for(piece, known) if one.name == name)
        (why,) = (why for why in one.findings if why.rule == "slip-on-fired-clay")
        return why.remedy.code if why.remedy else ""

    slipped = cup.wearing(Layer(chalk, Zone.OUTSIDE))

    assert way_out(cup, "Chalk") == "leave-slip-off"
    assert way_out(slipped, "Iron Gate") == "slip-on-fired-clay-remedy"


def test_glaze_over_a_slip_on_greenware_is_planned_without_a_word_of_peeling() -> None:
    known, chalk = a_studio().catalog, a_glaze("Chalk", coat=Coat.SLIP, cone_low="06", cone_high="10")
    raw = a_piece(Stage.GREENWARE, clay=known.clays["Gravel Walk"], layers=(Layer(chalk, Zone.OUTSIDE),))

    rules = {why.rule for one in shelf.candidates_for(raw, known) for why in one.findings}

    assert "slip-on-fired-clay" not in rules


def test_a_jar_and_its_lid_are_kept_free_of_glaze_where_they_touch(room: Room) -> None:
    jar = a_new_piece(arrives_bisqued=True)
    lid = Lid("lid of jar", 30, 70)
    both = registering.register_all(room.store, room.asks(INES), Batch(one=jar, lid=lid)).refs
    ines = room.visit(INES)

    assert ["they fire shut" in ines.get(f"/p/{ref}/glaze").text for ref in (*both, room.bisqued().ref)] == [
        True,
        True,
        False,
    ]
