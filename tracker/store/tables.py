"""The schema: every table, with each constraint by name. Times are UTC, lengths mm, cones their rank.

The heat guard stands here. A piece carries its clay's ceiling, a layer carries its piece's and its glaze's, a place in
a queue carries the piece's ceiling and the route's heat, a place in a kiln the piece's ceiling and the firing's heat,
whichever queue the piece came from.
Each copy is held equal to its original by a composite foreign key that follows changes, and a CHECK compares the two.
So no statement, whoever writes it, can leave a piece waiting for more heat than it stands (DEVELOPERS.md, D4).
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    and_,
    exists,
    false,
    literal_column,
    text,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    },
)


class UtcTime(TypeDecorator[datetime]):
    """A moment with its zone in Python, in UTC in the database; a moment without a zone is a fault."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn a moment with a zone into UTC; SQLite stores it without saying so."""
        if value is None:
            return None
        if value.tzinfo is None:
            message = "a moment without a zone cannot be stored"
            raise ValueError(message)
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 -- the signature is the library's
        """Give the moment back in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def _one_of(column: str, *values: str) -> CheckConstraint:
    listed = ", ".join(f"'{value}'" for value in values)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def _words(name: str, *, required: bool = True) -> Column[Any]:
    return Column(name, Text, nullable=not required)


def _sha256() -> Column[Any]:
    """What the files of a photo read as when it was kept; none for one from before that was noted."""
    return Column("sha256", String(64))


def _few(name: str, *columns: str, where: str) -> Index:
    """An index of the few rows of which this is so, in a table of many.

    SQLite plans a statement anew for each value that is handed to it beside a column of `where`, which takes longer
    than to find the rows: what is asked often has the value written out.
    """
    return Index(name, *columns, sqlite_where=text(where), postgresql_where=text(where))


_STAGES = ("greenware", "bisqued", "waxed", "glazed", "queued", "fired", "claimed", "lost")

house = Table(
    "house",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

terms = Table(
    "terms",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(60), nullable=False, unique=True),
    Column("starts_on", Date, nullable=False),
    Column("ends_on", Date, nullable=False),
    Column("pickup_on", Date),
    # How many days before its end the last notice to makers was due.
    Column("noticed_days", Integer),
    # Its end is on record: nothing of it is left in the studio.
    Column("ended_at", UtcTime),
    CheckConstraint("starts_on <= ends_on", name="starts_before_it_ends"),
)

# A section of no term is from before the studio had terms, or never is in one.
sections = Table(
    "sections",
    metadata,
    Column("id", Integer, primary_key=True),
    _words("name"),
    Column("term_id", ForeignKey("terms.id")),
    UniqueConstraint("term_id", "name"),
    CheckConstraint("name <> ''", name="has_a_name"),
    Index(
        "ix_sections_of_no_term",
        "name",
        unique=True,
        sqlite_where=text("term_id IS NULL"),
        postgresql_where=text("term_id IS NULL"),
    ),
)

people = Table(
    "people",
    metadata,
    Column("id", Integer, primary_key=True),
    _words("name"),
    # None for whoever doesn't sign in.
    Column("email", String(254), unique=True),
    Column("role", String(10), nullable=False),
    _words("password_hash", required=False),
    Column("must_change_password", Boolean, nullable=False),
    Column("joined_at", UtcTime, nullable=False),
    Column("removed_at", UtcTime),
    Column("units", String(6)),
    Column("paper", String(6)),
    # They may not sign in until they are let in again.
    Column("left_at", UtcTime),
    # How often they want mail about their pieces; none is daily.
    Column("news", String(6)),
    # What staff keep in mind about somebody's pieces; nobody else sees it.
    Column("note", Text, nullable=False, server_default=text("''")),
    # A minor or a visitor, whom the instructor looks after; nobody else sees it.
    Column("supervised", Boolean, nullable=False, server_default=false()),
    # What the bar of their maker card says; none once their data was removed.
    Column("card", String(11)),
    Column("section_id", ForeignKey("sections.id"), index=True),
    _one_of("role", "student", "member", "staff", "instructor"),
    CheckConstraint("email = lower(email)", name="email_is_lower"),
    _few("ix_people_staff", "name", where="role IN ('staff', 'instructor')"),
    _few("ix_people_without_email", "section_id", where="email IS NULL"),
    _few("ix_people_here", "id", where="left_at IS NULL AND removed_at IS NULL"),
    _few("ix_people_left", "left_at", "id", where="left_at IS NOT NULL"),
    Index("ix_people_card", "card", unique=True),
)
RUNS_STUDIO = people.c.role.in_([literal_column(f"'{role}'") for role in ("staff", "instructor")])
"""Whether somebody runs the studio, in the words of the index of them: an engine knows no bound value."""

# The link by which students join a section. It hangs on the wall, so what it says is kept as it is.
join_links = Table(
    "join_links",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("section_id", ForeignKey("sections.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("token", String(12), nullable=False, unique=True),
    Column("ends_on", Date, nullable=False),
    # The instructor lets each one in.
    Column("asks_first", Boolean, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("withdrawn_at", UtcTime),
)

# Who asked to join by a link. Until they are let in they have left, so that nothing is open to them.
joiners = Table(
    "joiners",
    metadata,
    Column("person_id", ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("link_id", ForeignKey("join_links.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("asked_at", UtcTime, nullable=False),
    # Their email is theirs; or there is no mail to prove it by.
    Column("proven_at", UtcTime),
    Column("let_in_at", UtcTime),
    # Nobody was here by that email before.
    Column("is_new", Boolean, nullable=False),
    _few("ix_joiners_waiting", "asked_at", where="let_in_at IS NULL"),
    Index("ix_joiners_let_in_at", "let_in_at"),
)
IS_STRANGER = and_(
    people.c.left_at.is_not(None),
    exists().where(joiners.c.person_id == people.c.id, joiners.c.is_new, joiners.c.let_in_at.is_(None)),
)
"""Whether somebody only asked to join, and was never here."""

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", String(64), primary_key=True),
    Column("person_id", ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("began_at", UtcTime, nullable=False),
    Column("ends_at", UtcTime, nullable=False),
    # A form that was sent before somebody signed in again.
    _words("kept_form", required=False),
    # On a shared tablet, with a badge and its PIN: it ends by itself.
    Column("by_badge", Boolean, nullable=False, server_default=false()),
)

badges = Table(
    "badges",
    metadata,
    Column("person_id", ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("number", String(11), nullable=False, unique=True),
    _words("pin_hash"),
    Column("issued_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    # How many PINs in a row were wrong.
    Column("wrong", Integer, nullable=False),
    CheckConstraint("wrong >= 0", name="wrong_is_counted"),
)

sign_ins = Table(
    "sign_ins",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("email", String(254), nullable=False),
    Column("address", String(64), nullable=False),
    Column("at", UtcTime, nullable=False),
    Index("ix_sign_ins_email_at", "email", "at"),
    Index("ix_sign_ins_address_at", "address", "at"),
)

# What is to be sent to somebody. It is written with what happened, and sent by a worker.
mails = Table(
    "mails",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person_id", ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("kind", String(10), nullable=False),
    # The first part of its Message-ID, the same for each try.
    Column("message_id", String(32), nullable=False, unique=True),
    Column("made_at", UtcTime, nullable=False),
    Column("due_at", UtcTime, nullable=False),
    Column("tries", Integer, nullable=False),
    # Which worker has it, and until when.
    Column("claim", String(32)),
    Column("claimed_until", UtcTime),
    # The mail server took it; or it never will.
    Column("accepted_at", UtcTime),
    Column("gave_up_at", UtcTime),
    _one_of("kind", "sign-up", "password", "news"),
    CheckConstraint("tries >= 0", name="tries_are_counted"),
    CheckConstraint("accepted_at IS NULL OR gave_up_at IS NULL", name="ends_once"),
    _few("ix_mails_to_send", "due_at", where="accepted_at IS NULL AND gave_up_at IS NULL"),
)

# What a mail about pieces tells. What is told of a piece goes when the piece went on before the mail was sent.
mail_lines = Table(
    "mail_lines",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("mail_id", ForeignKey("mails.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("piece_id", ForeignKey("pieces.id"), index=True),
    _words("message"),
)

# Links by which somebody chooses a password, by the hash of what is in them.
links = Table(
    "links",
    metadata,
    Column("token_hash", String(64), primary_key=True),
    Column("person_id", ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("ends_at", UtcTime, nullable=False),
)

clays = Table(
    "clays",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(60), nullable=False, unique=True),
    Column("kind", String(20), nullable=False),
    Column("cone_low", Integer, nullable=False),
    Column("cone_high", Integer, nullable=False),
    Column("ceiling", Integer, nullable=False),
    Column("absorption_pct", Float),
    Column("shrinkage_pct", Float),
    Column("absorption", Text, nullable=False, server_default="[]"),
    _words("weighings"),
    Column("cones_checked", Boolean, nullable=False, server_default=text("false")),
    Column("retired", Boolean, nullable=False),
    _one_of("kind", "earthenware", "stoneware", "porcelain", "grogged", "unknown"),
    CheckConstraint("cone_low <= cone_high AND cone_high <= ceiling", name="cones_in_order"),
    UniqueConstraint("id", "ceiling"),
)

glazes = Table(
    "glazes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(60), nullable=False, unique=True),
    Column("family", String(20), nullable=False),
    Column("outdoor_only", Boolean, nullable=False),
    Column("cone_low", Integer, nullable=False),
    Column("cone_high", Integer),
    Column("ceiling", Integer, nullable=False),
    Column("food", String(20), nullable=False),
    Column("coat", String(20), nullable=False),
    _words("traits"),
    _words("metals"),
    _words("goes_on"),
    _words("bucket"),
    Column("shelf_number", Integer),
    _words("color"),
    Column("surface", String(10)),
    _words("tests"),
    Column("cones_checked", Boolean, nullable=False, server_default=text("false")),
    Column("retired", Boolean, nullable=False),
    _one_of("family", "low-fire", "mid-range", "high-fire", "outdoor", "outside"),
    _one_of("food", "tested", "declared", "untested", "decorative"),
    _one_of("coat", "glaze", "underglaze", "slip", "sigillata", "wax", "overglaze"),
    CheckConstraint(
        "cone_low <= ceiling AND cone_high IS NOT NULL"
        " AND (ceiling = cone_high OR coat IN ('underglaze', 'slip', 'sigillata'))",
        name="cones_in_order",
    ),
    CheckConstraint("outdoor_only = (family = 'outdoor')", name="outdoor_by_family"),
    UniqueConstraint("id", "ceiling", "outdoor_only"),
)

routes = Table(
    "routes",
    metadata,
    Column("name", String(40), primary_key=True),
    _words("title"),
    Column("kind", String(20), nullable=False),
    Column("heat", Integer, nullable=False),
    Column("takes_outdoor", Boolean, nullable=False),
    Column("is_bisque", Boolean, nullable=False),
    Column("cones_checked", Boolean, nullable=False, server_default=text("false")),
    Column("retired", Boolean, nullable=False),
    Column("shelf", Text, nullable=False, server_default=text("''")),
    _words("schedule", required=False),
    _one_of("kind", "bisque", "shelf", "raku", "horsehair", "overglaze", "once-fire", "pit", "soda", "wood"),
    CheckConstraint("takes_outdoor = (kind = 'raku')", name="outdoor_by_kind"),
    CheckConstraint("is_bisque = (kind = 'bisque')", name="bisque_by_kind"),
    UniqueConstraint("name", "heat", "takes_outdoor"),
    UniqueConstraint("name", "is_bisque"),
    Index("ix_routes_name_takes_outdoor", "name", "takes_outdoor", unique=True),
)

kilns = Table(
    "kilns",
    metadata,
    Column("name", String(60), primary_key=True),
    Column("outdoor", Boolean, nullable=False),
    _words("place"),
    _words("inside"),
    Column("retired", Boolean, nullable=False),
)

kiln_routes = Table(
    "kiln_routes",
    metadata,
    Column("kiln", ForeignKey("kilns.name"), primary_key=True),
    Column("route", ForeignKey("routes.name"), primary_key=True),
    # A way that a kiln no longer fires stays in the table: firings of old point to it.
    Column("retired", Boolean, nullable=False),
)

pieces = Table(
    "pieces",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("code", String(6), unique=True),
    _words("what"),
    Column("maker_id", ForeignKey("people.id"), nullable=False),
    Column("clay_id", Integer, nullable=False),
    Column("clay_ceiling", Integer, nullable=False),
    Column("build", String(20), nullable=False),
    Column("use", String(20), nullable=False),
    Column("height_mm", Integer, nullable=False),
    Column("width_mm", Integer, nullable=False),
    Column("depth_mm", Integer, nullable=False),
    Column("fragile", Boolean, nullable=False),
    Column("burnished", Boolean, nullable=False),
    Column("mended", Boolean, nullable=False),
    Column("nests", Boolean, nullable=False, server_default=false()),
    Column("weight_g", Integer),
    Column("wall_mm", Integer),
    Column("vented", Boolean),
    Column("foot", String(10)),
    Column("catch_plate", Boolean, nullable=False),
    Column("glazed_at", UtcTime),
    Column("fired_to", Integer),
    _words("flaws", required=False),
    Column("ceiling", Integer, nullable=False),
    Column("outdoor_only", Boolean, nullable=False),
    Column("stage", String(20), nullable=False),
    Column("came_from", String(20)),
    _words("place"),
    _words("set_name", required=False),
    Column("version", Integer, nullable=False),
    Column("registered_at", UtcTime, nullable=False),
    Column("since", UtcTime, nullable=False),
    # When its maker was told by mail that it is at its stage for too long; before `since` it was at another.
    Column("reminded_at", UtcTime),
    _one_of("build", "thrown", "slab", "coil", "pinch", "cast", "press-molded", "carved"),
    _one_of("use", "food", "decorative"),
    _one_of("stage", *_STAGES),
    _one_of("foot", "waxed", "wiped", "bare", "glazed", "stilted"),
    CheckConstraint("height_mm > 0 AND width_mm > 0 AND depth_mm > 0", name="has_size"),
    CheckConstraint("ceiling <= clay_ceiling", name="clay_stands_it"),
    CheckConstraint("code IS NOT NULL OR stage IN ('greenware', 'lost')", name="code_from_bisque_on"),
    ForeignKeyConstraint(["clay_id", "clay_ceiling"], ["clays.id", "clays.ceiling"], onupdate="CASCADE"),
    UniqueConstraint("id", "ceiling", "outdoor_only"),
    UniqueConstraint("id", "ceiling"),
    UniqueConstraint("id", "stage"),
    Index("ix_pieces_maker_id_stage_since", "maker_id", "stage", "since"),
    Index("ix_pieces_maker_id_registered_at", "maker_id", "registered_at"),
    Index("ix_pieces_stage_since", "stage", "since"),
    _few("ix_pieces_sets", "maker_id", "set_name", where="set_name IS NOT NULL"),
    Index("ix_pieces_clay_id", "clay_id"),
)

layers = Table(
    "layers",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", Integer, nullable=False),
    Column("piece_ceiling", Integer, nullable=False),
    Column("piece_outdoor_only", Boolean, nullable=False),
    Column("glaze_id", Integer, nullable=False),
    Column("glaze_ceiling", Integer, nullable=False),
    Column("glaze_outdoor_only", Boolean, nullable=False),
    Column("zone", String(20), nullable=False),
    Column("fired_to", Integer),
    _one_of("zone", "all-over", "inside", "lip", "outside", "foot"),
    CheckConstraint("piece_ceiling <= glaze_ceiling", name="glaze_stands_it"),
    CheckConstraint("piece_outdoor_only OR NOT glaze_outdoor_only", name="outdoor_glaze_shows"),
    ForeignKeyConstraint(
        ["piece_id", "piece_ceiling", "piece_outdoor_only"],
        ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
        onupdate="CASCADE",
    ),
    ForeignKeyConstraint(
        ["glaze_id", "glaze_ceiling", "glaze_outdoor_only"],
        ["glazes.id", "glazes.ceiling", "glazes.outdoor_only"],
        onupdate="CASCADE",
    ),
    Index("ix_layers_piece_id", "piece_id"),
    Index("ix_layers_glaze_id_piece_id", "glaze_id", "piece_id"),
)

waiting = Table(
    "waiting",
    metadata,
    Column("piece_id", Integer, primary_key=True, autoincrement=False),
    Column("stage", String(20), nullable=False, server_default="queued"),
    Column("ceiling", Integer, nullable=False),
    Column("outdoor_only", Boolean, nullable=False),
    Column("route", String(40), nullable=False),
    Column("heat", Integer, nullable=False),
    Column("takes_outdoor", Boolean, nullable=False),
    Column("since", UtcTime, nullable=False),
    _words("accepted"),
    CheckConstraint("stage = 'queued'", name="is_queued"),
    CheckConstraint("heat <= ceiling", name="stands_the_heat"),
    CheckConstraint("takes_outdoor OR NOT outdoor_only", name="outdoor_only_in_raku"),
    ForeignKeyConstraint(["piece_id", "stage"], ["pieces.id", "pieces.stage"]),
    ForeignKeyConstraint(
        ["piece_id", "ceiling", "outdoor_only"],
        ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
        onupdate="CASCADE",
    ),
    ForeignKeyConstraint(
        ["route", "heat", "takes_outdoor"],
        ["routes.name", "routes.heat", "routes.takes_outdoor"],
        onupdate="CASCADE",
    ),
    UniqueConstraint("piece_id", "route"),
    Index("ix_waiting_route_since", "route", "since"),
)

firings = Table(
    "firings",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kiln", String(60), nullable=False),
    Column("route", String(40), nullable=False),
    Column("is_bisque", Boolean, nullable=False),
    Column("heat", Integer, nullable=False),
    Column("stage", String(20), nullable=False),
    Column("began_at", UtcTime, nullable=False),
    Column("unloaded_at", UtcTime),
    Column("planned_for", UtcTime),
    Column("lit_at", UtcTime),
    Column("shut_at", UtcTime),
    _words("plan", required=False),
    _words("schedule", required=False),
    Column("kwh", Float),
    Column("fuel_kg", Float),
    Column("cost_cents", Integer),
    Column("session_id", Integer),
    Column("fired_to", Integer),
    _one_of("stage", "planned", "loading", "firing", "cooling", "unloaded"),
    ForeignKeyConstraint(["kiln", "route"], ["kiln_routes.kiln", "kiln_routes.route"]),
    ForeignKeyConstraint(["route", "is_bisque"], ["routes.name", "routes.is_bisque"]),
    UniqueConstraint("id", "route", "heat", "is_bisque"),
    _few("ix_firings_open", "id", where="stage <> 'unloaded'"),
    # No foreign key: SQLite would rebuild a guarded table for it; triggers hold outdoor firings to their session.
    Index("ix_firings_session_id", "session_id"),
    Index("ix_firings_kiln_id", "kiln", "id"),
    _few("ix_firings_outdoors", "id", where="session_id IS NOT NULL"),
    _few("ix_firings_indoors", "id", where="session_id IS NULL"),
)
IS_OPEN = firings.c.stage != literal_column("'unloaded'")
"""Whether a firing has yet to be unloaded, in the words of the index of those: an engine knows no bound value."""

loaded = Table(
    "loaded",
    metadata,
    Column("piece_id", Integer, primary_key=True, autoincrement=False),
    Column("ceiling", Integer, nullable=False),
    Column("outdoor_only", Boolean, nullable=False),
    Column("firing_id", Integer, nullable=False),
    Column("route", String(40), nullable=False),
    Column("heat", Integer, nullable=False),
    Column("is_bisque", Boolean, nullable=False),
    Column("takes_outdoor", Boolean, nullable=False),
    # The queue that it waits in, of whatever firing type; greenware waits in none.
    Column("queue_route", String(40)),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("heat <= ceiling", name="stands_the_heat"),
    CheckConstraint("takes_outdoor OR NOT outdoor_only", name="outdoor_only_in_raku"),
    ForeignKeyConstraint(
        ["piece_id", "ceiling", "outdoor_only"],
        ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
        onupdate="CASCADE",
    ),
    ForeignKeyConstraint(["route", "takes_outdoor"], ["routes.name", "routes.takes_outdoor"], onupdate="CASCADE"),
    ForeignKeyConstraint(["piece_id", "queue_route"], ["waiting.piece_id", "waiting.route"]),
    ForeignKeyConstraint(
        ["firing_id", "route", "heat", "is_bisque"],
        ["firings.id", "firings.route", "firings.heat", "firings.is_bisque"],
        onupdate="CASCADE",
    ),
    Index("ix_loaded_firing_id", "firing_id"),
)

leaving = Table(
    "leaving",
    metadata,
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True, autoincrement=False),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("since", UtcTime, nullable=False),
    _words("findings"),
    Column("version", Integer, nullable=False),
    Column("queue_route", ForeignKey("routes.name")),
    Column("waiting_since", UtcTime),
    _words("accepted"),
    Column("question_id", ForeignKey("questions.id")),
    Index("ix_leaving_firing_id", "firing_id"),
)

caught = Table(
    "caught",
    metadata,
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True, autoincrement=False),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("since", UtcTime, nullable=False),
    _words("findings"),
    Column("loaded_at", UtcTime, nullable=False),
    Column("queue_route", ForeignKey("routes.name")),
    Column("waiting_since", UtcTime),
    _words("accepted"),
    Index("ix_caught_firing_id", "firing_id"),
)

wishes = Table(
    "wishes",
    metadata,
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True, autoincrement=False),
    Column("route", ForeignKey("routes.name"), nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    Index("ix_wishes_route", "route"),
)

# A piece that was registered twice: whoever looks for the one finds the other.
merged = Table(
    "merged",
    metadata,
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True, autoincrement=False),
    Column("into_id", ForeignKey("pieces.id"), nullable=False),
    Index("ix_merged_into_id", "into_id"),
)

planned = Table(
    "planned",
    metadata,
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True, autoincrement=False),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("turn", Integer, nullable=False),
    Index("ix_planned_firing_id", "firing_id"),
)

readings = Table(
    "readings",
    metadata,
    Column("firing_id", ForeignKey("firings.id"), primary_key=True, autoincrement=False),
    Column("second", Integer, primary_key=True, autoincrement=False),
    Column("temp_c", Float, nullable=False),
)

witnesses = Table(
    "witnesses",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("level", Integer),
    Column("cone", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("stands", String(20), nullable=False),
    _one_of("kind", "large", "self-supporting"),
    _one_of("stands", "standing", "tip", "half", "down", "flat"),
    Index("ix_witnesses_firing_id", "firing_id"),
)

firing_corrections = Table(
    "firing_corrections",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    _words("message"),
    Index("ix_firing_corrections_firing_id", "firing_id"),
    sqlite_autoincrement=True,
)

results = Table(
    "results",
    metadata,
    Column("firing_id", ForeignKey("firings.id"), primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True),
    # In words with commas between them: good, or broke, or the flaws it has.
    _words("outcome"),
    Column("outside_only", Boolean, nullable=False),
    _words("clay_note"),
    _words("glaze_note"),
    Index("ix_results_piece_id", "piece_id"),
)

# What was said of a piece while its kiln is being unloaded; ends with the unloading.
unloading = Table(
    "unloading",
    metadata,
    Column("firing_id", ForeignKey("firings.id"), primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True),
    _words("outcome", required=False),
    Column("outside_only", Boolean, nullable=False),
    _words("clay_note"),
    _words("glaze_note"),
    # Where it was put; and whether it was not in the kiln at all.
    _words("place"),
    Column("was_absent", Boolean, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("was_absent = (outcome IS NULL)", name="out_or_absent"),
    Index("ix_unloading_piece_id", "piece_id"),
)

history = Table(
    "history",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("request_key", String(36), nullable=False),
    Column("step", String(20), nullable=False),
    Column("start", String(20)),
    Column("to", String(20), nullable=False),
    Column("route", String(40)),
    Column("kiln", String(60)),
    Column("firing_id", Integer),
    _words("place"),
    _words("verdict", required=False),
    _words("accepted", required=False),
    Column("outcome", String(20)),
    _words("reason"),
    _words("facts", required=False),
    Column("undoes", Integer),
    Index("ix_history_piece_id", "piece_id"),
    Index("ix_history_at", "at"),
    _few("ix_history_missed", "piece_id", where="step = 'lose' AND reason = 'missing'"),
    _few("ix_history_found", "at", where="step = 'find'"),
    sqlite_autoincrement=True,
)
WAS_MISSED = and_(history.c.step == literal_column("'lose'"), history.c.reason == literal_column("'missing'"))
WAS_FOUND = history.c.step == literal_column("'find'")
"""Lines of pieces that nobody could find and that turned up, in the words of their indexes."""

requests = Table(
    "requests",
    metadata,
    Column("key", String(36), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("doing", String(40), nullable=False),
    Column("at", UtcTime, nullable=False),
    _words("receipt"),
)

questions = Table(
    "questions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), nullable=False),
    Column("route", ForeignKey("routes.name")),
    _words("text"),
    _words("message", required=False),
    _words("findings"),
    Column("asked_by", ForeignKey("people.id"), nullable=False),
    Column("asked_at", UtcTime, nullable=False),
    Column("answered_by", ForeignKey("people.id")),
    Column("answered_at", UtcTime),
    Column("allows", Boolean),
    _words("answer", required=False),
    Column("pinned_clay", ForeignKey("clays.id")),
    Column("pinned_glaze", ForeignKey("glazes.id")),
    CheckConstraint("(answered_at IS NULL) = (allows IS NULL)", name="answered_whole"),
    Index("ix_questions_piece_id", "piece_id"),
    Index("ix_questions_answered_at", "answered_at"),
    _few("ix_questions_pinned_clay", "pinned_clay", where="pinned_clay IS NOT NULL"),
    _few("ix_questions_pinned_glaze", "pinned_glaze", where="pinned_glaze IS NOT NULL"),
)

# Scans that were refused, until whoever scanned has dealt with them.
refused_scans = Table(
    "refused_scans",
    metadata,
    Column("key", String(36), primary_key=True),
    Column("person_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    _words("ref"),
    Column("piece_id", ForeignKey("pieces.id")),
    # The newest line of the piece's history by then: a later one says that somebody has dealt with the piece.
    Column("line", Integer, nullable=False),
    # What the scan was for, as its form said it, in JSON; and what was said, as messages.
    _words("job"),
    _words("title"),
    _words("says"),
    _words("remedy", required=False),
    Column("done_at", UtcTime),
    _few("ix_refused_scans_person_id", "person_id", where="done_at IS NULL"),
)

# Apart from the questions, so that what is open and what was answered need not look past them.
withdrawn_questions = Table(
    "withdrawn_questions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), nullable=False),
    Column("route", ForeignKey("routes.name")),
    _words("text"),
    _words("message", required=False),
    Column("asked_by", ForeignKey("people.id"), nullable=False),
    Column("asked_at", UtcTime, nullable=False),
    Column("withdrawn_by", ForeignKey("people.id"), nullable=False),
    Column("withdrawn_at", UtcTime, nullable=False),
    Index("ix_withdrawn_questions_piece_id", "piece_id"),
)

# What was said before, of a question that is open again or was answered anew.
answers_taken_back = Table(
    "answers_taken_back",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("question_id", ForeignKey("questions.id"), nullable=False),
    Column("allowed", Boolean, nullable=False),
    _words("answer"),
    Column("answered_by", ForeignKey("people.id"), nullable=False),
    Column("answered_at", UtcTime, nullable=False),
    Column("taken_back_by", ForeignKey("people.id"), nullable=False),
    Column("taken_back_at", UtcTime, nullable=False),
    Index("ix_answers_taken_back_question_id", "question_id"),
)

# A shelf with pieces on it needs no row: this keeps those that nothing is on.
ware_shelves = Table(
    "ware_shelves",
    metadata,
    # The name without regard to case, which tells one shelf from another.
    Column("folded", String(180), primary_key=True),
    Column("name", String(60), nullable=False),
    Column("added_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
)

stocktakes = Table(
    "stocktakes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("place", String(60), nullable=False),
    Column("began_at", UtcTime, nullable=False),
    Column("ended_at", UtcTime),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Index("ix_stocktakes_place_id", "place", "id"),
    sqlite_autoincrement=True,
)

stocktake_scans = Table(
    "stocktake_scans",
    metadata,
    Column("stocktake_id", ForeignKey("stocktakes.id"), primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True),
    Column("at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Index("ix_stocktake_scans_piece_id", "piece_id"),
)

cone_answers = Table(
    "cone_answers",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(10), nullable=False),
    # What the question was about: a name in the catalog, or the number of a firing.
    Column("name", String(60), nullable=False),
    Column("fact", String(20), nullable=False),
    Column("cone", Integer, nullable=False),
    Column("meant", Integer, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    _one_of("kind", "clay", "glaze", "route", "firing"),
    Index("ix_cone_answers_kind_name", "kind", "name"),
    sqlite_autoincrement=True,
)

print_jobs = Table(
    "print_jobs",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(40), nullable=False),
    _words("things"),
    _words("stock"),
    Column("start_at", Integer, nullable=False),
    Column("nudge_x", Float, nullable=False),
    Column("nudge_y", Float, nullable=False),
    Column("dpi", Integer),
    _words("line"),
    Column("labels", Integer, nullable=False),
    _words("reprints"),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    CheckConstraint("labels > 0", name="something"),
    Index("ix_print_jobs_by_id_id", "by_id", "id"),
    Index("ix_print_jobs_kind_id", "kind", "id"),
    sqlite_autoincrement=True,
)

prints = Table(
    "prints",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("at", UtcTime, nullable=False),
    # The printing it came from; tags that were printed before these were kept have none.
    Column("job_id", Integer),
    # A ticket is no tag with a code: the first of those is no reprint.
    Column("of_ticket", Boolean, nullable=False, server_default=false()),
    Index("ix_prints_piece_id", "piece_id"),
)

outdoor_sessions = Table(
    "outdoor_sessions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kiln", ForeignKey("kilns.name"), nullable=False),
    Column("stage", String(20), nullable=False),
    Column("starts_at", UtcTime, nullable=False),
    Column("dark_at", UtcTime),
    Column("opening", String(20), nullable=False),
    _words("crew"),
    _words("containers"),
    _words("combustibles"),
    Column("fuel_before_kg", Float),
    Column("fuel_after_kg", Float),
    Column("air_c", Float),
    _words("weather"),
    _words("left_out"),
    Column("planned_at", UtcTime, nullable=False),
    Column("ended_at", UtcTime),
    Column("tanks", Integer),
    Column("tank_kg", Float),
    Column("burner_kw", Float),
    _one_of("stage", "planned", "running", "ended"),
    _one_of("opening", "lift-off", "front", "top"),
    Index("ix_outdoor_sessions_kiln_id", "kiln", "id"),
    Index("ix_outdoor_sessions_stage", "stage"),
    # A number that was given once is not given again, for firings tell it.
    sqlite_autoincrement=True,
)

taps = Table(
    "taps",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("key", String(36), nullable=False, unique=True),
    Column("session_id", ForeignKey("outdoor_sessions.id"), nullable=False),
    Column("firing_id", ForeignKey("firings.id"), nullable=False),
    Column("piece_id", ForeignKey("pieces.id")),
    Column("did", String(20), nullable=False),
    _words("value"),
    Column("at", UtcTime, nullable=False),
    Column("came_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    _one_of("did", "start", "at heat", "pulled", "closed", "out", "result", "take back"),
    Index("ix_taps_session_id", "session_id"),
    Index("ix_taps_firing_id", "firing_id"),
    Index("ix_taps_piece_id", "piece_id"),
)

marks = Table(
    "marks",
    metadata,
    Column("firing_id", ForeignKey("firings.id"), primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), primary_key=True),
    Column("air", String(20)),
    Column("smoke", String(20)),
    Column("open_s", Integer),
    _words("color"),
    _one_of("air", "more fuel", "even", "more air"),
    _one_of("smoke", "none", "light", "heavy"),
    Index("ix_marks_piece_id", "piece_id"),
)

photos = Table(
    "photos",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("piece_id", ForeignKey("pieces.id"), nullable=False),
    Column("stem", String(32), nullable=False, unique=True),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("stage", String(20), nullable=False),
    _words("words"),
    Column("added_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    Column("shared", Boolean, nullable=False, server_default=false()),
    _sha256(),
    Index("ix_photos_piece_id", "piece_id"),
)

tiles = Table(
    "tiles",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("glaze_id", ForeignKey("glazes.id"), nullable=False),
    Column("clay_id", ForeignKey("clays.id"), nullable=False),
    Column("cone", Integer, nullable=False),
    Column("atmosphere", String(10)),
    Column("stem", String(32), nullable=False, unique=True),
    Column("side", Integer, nullable=False),
    # As a color is written in SVG: #3a6ea5.
    Column("swatch", String(7), nullable=False),
    Column("added_at", UtcTime, nullable=False),
    Column("by_id", ForeignKey("people.id"), nullable=False),
    _sha256(),
    _one_of("atmosphere", "oxidation", "neutral", "reduction"),
    Index("ix_tiles_glaze_id", "glaze_id"),
)

firings.add_is_dependent_on(outdoor_sessions)
# Whatever fills a database anew fills the sessions before the firings, for the triggers ask.

IN_ORDER = tuple(metadata.sorted_tables)
"""Every table, each after the tables it refers to."""
