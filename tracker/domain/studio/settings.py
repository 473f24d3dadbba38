"""What a studio may set for itself, with the common practice that holds until it does."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.domain.studio.leach_limits import Regime


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPractice:
    """What a log is held to; all of it common practice, and a studio may set it otherwise.

    `jump_c_per_min`: no kiln here moves faster, and a step within a minute may be as large. `gap_min`: a pause between
    two readings may always be as long; a longer one is a gap when it is also over `gap_times` times the log's usual
    pause (`gap_times_of_few` times in a list of fewer than `few` readings, which are corners that somebody typed in).
    `sparse_min`: readings further apart on the whole are told. `stall_min`, `stall_c`: a log that moves less than that
    many degrees for so long, before its peak, is told. `longest_h`: a longer log is questioned, for it may be seconds
    that were read as minutes. `hottest_c`, `coldest_c`: nothing beyond is a kiln.
    `room_f_from`, `room_f_to`: a first reading between them is a room in °F, when the peak is a cone's in °F as well.
    `cold_room_c`: a first reading below is °C read as °F.
    """

    jump_c_per_min: float = 40.0
    gap_min: float = 15.0
    gap_times: float = 2.5
    gap_times_of_few: float = 10.0
    few: int = 12
    sparse_min: float = 60.0
    stall_min: float = 30.0
    stall_c: float = 5.0
    longest_h: float = 120.0
    hottest_c: float = 1_800.0
    coldest_c: float = -50.0
    room_f_from: float = 55.0
    room_f_to: float = 95.0
    cold_room_c: float = 0.0


LOG_PRACTICE = LogPractice()


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringPractice:
    """How fast ware may be fired; common practice, and a studio may set it otherwise.

    `bisque_slow_c_per_h` holds below `bisque_slow_below_c` and `bisque_c_per_h` above (class notes). On the way down
    the kiln passes quartz, 573 °C give or take `quartz_within_c`, no faster than `quartz_c_per_h`. A real curve may be
    `leeway` times as fast before anything is said. It stalls when it stands for `stall_min` longer than the schedule
    holds within `stall_within_c` of there, and jumps when it moves by more than `jump_c_per_min`. Above `open_below_c`
    a kiln stays shut.
    """

    bisque_slow_c_per_h: float = 100.0
    bisque_slow_below_c: float = 600.0
    bisque_c_per_h: float = 150.0
    quartz_c_per_h: float = 100.0
    quartz_within_c: float = 25.0
    leeway: float = 1.05
    stall_min: float = 30.0
    stall_within_c: float = 15.0
    jump_c_per_min: float = 40.0
    open_below_c: float = 120.0


FIRING_PRACTICE = FiringPractice()


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionPractice:
    """When a kiln's differences count as its own: so many firings within so many whole cones (common practice)."""

    firings: int = 3
    within_cones: float = 0.5


CORRECTION_PRACTICE = CorrectionPractice()


@dataclass(frozen=True, slots=True)
class OutdoorPractice:
    """What a studio holds to outdoors, each number common practice (practice) where no source is named.

    The first round heats from cold, later ones do not; `change_heat_min` is what it takes to bring the kiln from the
    heat of one kind of round to that of another. `tong_room_mm` stays free between pieces on the floor and
    `apart_room_mm` around a piece that somebody was warned of. `container_room_mm` stays free all round a piece in its
    bin, above it too. Glaze is fresh for `fresh_hours`. One puller pulls at most `most_a_puller` pieces in a round, and
    fewer where the last of them would be too cool.

    Raku is pulled at `raku_pull_c` (982 °C is 1,800 °F). Below `raku_least_c` copper on its face no longer flashes
    in smoke, and from `raku_sure_c` on it does for sure; clay and the lines of a crackle blacken far below.
    Horsehair is pulled at `horsehair_pull_c`. Hair marks the bare face between `hair_most_c` and `hair_least_c`
    (published accounts). The kiln stands open `lid_s` after it was touched, one puller takes `pull_s` for a piece,
    and laying hair on it takes `hair_s`. A wall that was never measured is taken to be `thin_wall_mm`, for thin
    ones cool fastest.
    """

    first_round_min: int = 45
    later_round_min: int = 25
    tong_room_mm: int = 60
    container_room_mm: int = 25
    fresh_hours: int = 24
    most_a_puller: int = 4
    apart_room_mm: int = 100
    change_heat_min: int = 10
    raku_pull_c: float = 982.0
    raku_sure_c: float = 750.0
    raku_least_c: float = 700.0
    horsehair_pull_c: float = 700.0
    hair_most_c: float = 700.0
    hair_least_c: float = 480.0
    lid_s: float = 3.0
    pull_s: float = 8.0
    hair_s: float = 15.0
    thin_wall_mm: float = 5.0

    @property
    def room_apart_mm(self) -> int:
        """What stays free around a piece set apart: never less than the tongs need."""
        return max(self.apart_room_mm, self.tong_room_mm)


OUTDOOR_PRACTICE = OutdoorPractice()


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelPractice:
    """What is common practice while a kiln has no sessions of its own, and a studio may set otherwise.

    `low`, `likely` and `high`: kg to a round, for a kiln that holds a handful of pots. `first_counts`: as how many
    later rounds the first one counts; 45 minutes beside 25 are 1.8. `spread`: how far, in parts, a session may be off
    while too few were weighed to tell. `reserve_kg`: what a tank no longer gives, for near its end it grows cold and
    slow.
    """

    low: float = 1.0
    likely: float = 1.5
    high: float = 2.2
    first_counts: float = 1.8
    spread: float = 0.3
    reserve_kg: float = 0.5


COMMON_FUEL = FuelPractice()


@dataclass(frozen=True, slots=True, kw_only=True)
class TermPractice:
    """What happens at the end of a term: when its makers are told, and how long the studio keeps their data.

    The notices are so many days before the end. `remove_after_months` is how long after a term the data of those who
    left is offered for removal, 0 for never; a person looks and presses.
    """

    first_notice_days: int = 21
    second_notice_days: int = 7
    last_notice_days: int = 1
    remove_after_months: int = 0

    @property
    def notices(self) -> tuple[int, ...]:
        """The days before the end on which makers are told."""
        return (self.first_notice_days, self.second_notice_days, self.last_notice_days)


TERM_PRACTICE = TermPractice()


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """What is common practice and a studio may set otherwise.

    `large_porcelain_mm`: porcelain over this many mm counts as large. `food_absorption_pct`: the most water, in
    percent, that clay for food may take up; 3 % is the upper bound of "vitreous" in ANSI A137.1 and a limit for tile,
    chosen here as a careful default: no standard sets one for studio tableware. `foot_clear_mm`: how far up the side a
    foot is wiped. `tongs_g`: the most that tongs should lift, in g. `thick_wall_mm`: a wall over this wants long
    candling. `glaze_dries_hours`: how long glaze dries before an outdoor kiln. `glaze_gap_mm`: how far glazed pieces
    stand from each other in a load plan. `gap_above_mm`: how much stays free over each piece in the load of a glaze
    firing, so that none touches the shelf above; `bisque_gap_above_mm` in a bisque. `cookie_margin_mm`: how far a kiln
    cookie reaches out from under a piece all round, and `cookie_thickness_mm` how thick it is. `bisque_share_pct`: how
    much of a clay's shrinkage from wet to fired happens from dry to bisqued, in percent (a careful guess from memory:
    most of it is drying and the glaze firing), by which load plans take bisqued ware as smaller than it was registered.
    `regime`: whose published limits release tests are judged by. `logs`, `fires`, `corrections`, `outdoors`, `fuel` and
    `terms` are groups of their own (`practice_groups`): what a kiln's log is held to, how fast ware is fired, when
    witness cones correct a kiln, how an outdoor session is run, what it burns, and when makers hear of a term's end.
    """

    large_porcelain_mm: int = 150
    food_absorption_pct: float = 3.0
    foot_clear_mm: int = 6
    tongs_g: int = 4_500
    thick_wall_mm: int = 25
    glaze_dries_hours: int = 24
    glaze_gap_mm: int = 6
    gap_above_mm: int = 10
    bisque_gap_above_mm: int = 5
    cookie_margin_mm: int = 10
    cookie_thickness_mm: int = 10
    bisque_share_pct: int = 5
    regime: Regime = Regime.US_FDA
    logs: LogPractice = LOG_PRACTICE
    fires: FiringPractice = FIRING_PRACTICE
    corrections: CorrectionPractice = CORRECTION_PRACTICE
    outdoors: OutdoorPractice = OUTDOOR_PRACTICE
    fuel: FuelPractice = COMMON_FUEL
    terms: TermPractice = TERM_PRACTICE

    def __hash__(self) -> int:
        """By one of its numbers: a studio has one practice at a time, and every verdict is looked up by it."""
        return hash(self.food_absorption_pct)


COMMON_PRACTICE = Practice()
