"""The first studio: people, materials, pieces and their queues, firings, history."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Go one step up."""
    op.create_table(
        "clays",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("cone_low", sa.Integer(), nullable=False),
        sa.Column("cone_high", sa.Integer(), nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("absorption_pct", sa.Float(), nullable=True),
        sa.Column("shrinkage_pct", sa.Float(), nullable=True),
        sa.Column("weighings", sa.Text(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('earthenware', 'stoneware', 'porcelain', 'grogged', 'unknown')", name=op.f("ck_clays_kind")
        ),
        sa.CheckConstraint("cone_low <= cone_high AND cone_high <= ceiling", name=op.f("ck_clays_cones_in_order")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clays")),
        sa.UniqueConstraint("id", "ceiling", name=op.f("uq_clays_id_ceiling")),
        sa.UniqueConstraint("name", name=op.f("uq_clays_name")),
    )
    op.create_table(
        "glazes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("family", sa.String(length=20), nullable=False),
        sa.Column("outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("cone_low", sa.Integer(), nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("food", sa.String(length=20), nullable=False),
        sa.Column("coat", sa.String(length=20), nullable=False),
        sa.Column("traits", sa.Text(), nullable=False),
        sa.Column("metals", sa.Text(), nullable=False),
        sa.Column("goes_on", sa.Text(), nullable=False),
        sa.Column("bucket", sa.Text(), nullable=False),
        sa.Column("colour", sa.Text(), nullable=False),
        sa.Column("tests", sa.Text(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.CheckConstraint("coat IN ('glaze', 'underglaze', 'slip')", name=op.f("ck_glazes_coat")),
        sa.CheckConstraint(
            "family IN ('low-fire', 'mid-range', 'high-fire', 'outdoor', 'outside')", name=op.f("ck_glazes_family")
        ),
        sa.CheckConstraint("food IN ('tested', 'declared', 'untested', 'decorative')", name=op.f("ck_glazes_food")),
        sa.CheckConstraint("outdoor_only = (family = 'outdoor')", name=op.f("ck_glazes_outdoor_by_family")),
        sa.CheckConstraint("cone_low <= ceiling", name=op.f("ck_glazes_cones_in_order")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_glazes")),
        sa.UniqueConstraint("id", "ceiling", "outdoor_only", name=op.f("uq_glazes_id_ceiling_outdoor_only")),
        sa.UniqueConstraint("name", name=op.f("uq_glazes_name")),
    )
    op.create_table(
        "house",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_house")),
    )
    op.create_table(
        "kilns",
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("outdoor", sa.Boolean(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("inside", sa.Text(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_kilns")),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("role", sa.String(length=10), nullable=False),
        sa.Column("section", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("must_change_password", sa.Boolean(), nullable=False),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("role IN ('student', 'staff', 'instructor')", name=op.f("ck_people_role")),
        sa.CheckConstraint("email = lower(email)", name=op.f("ck_people_email_is_lower")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("email", name=op.f("uq_people_email")),
    )
    op.create_table(
        "routes",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("heat", sa.Integer(), nullable=False),
        sa.Column("takes_outdoor", sa.Boolean(), nullable=False),
        sa.Column("is_bisque", sa.Boolean(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.CheckConstraint("is_bisque = (kind = 'bisque')", name=op.f("ck_routes_bisque_by_kind")),
        sa.CheckConstraint("kind IN ('bisque', 'shelf', 'raku', 'horsehair')", name=op.f("ck_routes_kind")),
        sa.CheckConstraint("takes_outdoor = (kind = 'raku')", name=op.f("ck_routes_outdoor_by_kind")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_routes")),
        sa.UniqueConstraint("name", "heat", "takes_outdoor", name=op.f("uq_routes_name_heat_takes_outdoor")),
        sa.UniqueConstraint("name", "is_bisque", name=op.f("uq_routes_name_is_bisque")),
    )
    op.create_table(
        "sign_ins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_ins")),
    )
    with op.batch_alter_table("sign_ins", schema=None) as batch_op:
        batch_op.create_index("ix_sign_ins_address_at", ["address", "at"], unique=False)
        batch_op.create_index("ix_sign_ins_email_at", ["email", "at"], unique=False)

    op.create_table(
        "kiln_routes",
        sa.Column("kiln", sa.String(length=60), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["kiln"], ["kilns.name"], name=op.f("fk_kiln_routes_kiln")),
        sa.ForeignKeyConstraint(["route"], ["routes.name"], name=op.f("fk_kiln_routes_route")),
        sa.PrimaryKeyConstraint("kiln", "route", name=op.f("pk_kiln_routes")),
    )
    op.create_table(
        "pieces",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=6), nullable=True),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("maker_id", sa.Integer(), nullable=False),
        sa.Column("clay_id", sa.Integer(), nullable=False),
        sa.Column("clay_ceiling", sa.Integer(), nullable=False),
        sa.Column("build", sa.String(length=20), nullable=False),
        sa.Column("use", sa.String(length=20), nullable=False),
        sa.Column("height_mm", sa.Integer(), nullable=False),
        sa.Column("width_mm", sa.Integer(), nullable=False),
        sa.Column("depth_mm", sa.Integer(), nullable=False),
        sa.Column("fragile", sa.Boolean(), nullable=False),
        sa.Column("burnished", sa.Boolean(), nullable=False),
        sa.Column("mended", sa.Boolean(), nullable=False),
        sa.Column("weight_g", sa.Integer(), nullable=True),
        sa.Column("wall_mm", sa.Integer(), nullable=True),
        sa.Column("vented", sa.Boolean(), nullable=True),
        sa.Column("foot", sa.String(length=10), nullable=True),
        sa.Column("catch_plate", sa.Boolean(), nullable=False),
        sa.Column("glazed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("fired_to", sa.Integer(), nullable=True),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("stage", sa.String(length=20), nullable=False),
        sa.Column("came_from", sa.String(length=20), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("registered_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "build IN ('thrown', 'slab', 'coil', 'pinch', 'cast', 'press-moulded', 'carved')",
            name=op.f("ck_pieces_build"),
        ),
        sa.CheckConstraint(
            "code IS NOT NULL OR stage IN ('greenware', 'lost')", name=op.f("ck_pieces_code_from_bisque_on")
        ),
        sa.CheckConstraint(
            "stage IN ('greenware', 'bisqued', 'waxed', 'glazed', 'queued', 'fired', 'claimed', 'lost')",
            name=op.f("ck_pieces_stage"),
        ),
        sa.CheckConstraint("use IN ('food', 'decorative')", name=op.f("ck_pieces_use")),
        sa.CheckConstraint("ceiling <= clay_ceiling", name=op.f("ck_pieces_clay_stands_it")),
        sa.CheckConstraint("foot IN ('waxed', 'wiped', 'bare', 'glazed', 'stilted')", name=op.f("ck_pieces_foot")),
        sa.CheckConstraint("height_mm > 0 AND width_mm > 0 AND depth_mm > 0", name=op.f("ck_pieces_has_size")),
        sa.ForeignKeyConstraint(
            ["clay_id", "clay_ceiling"],
            ["clays.id", "clays.ceiling"],
            name=op.f("fk_pieces_clay_id_clay_ceiling"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(["maker_id"], ["people.id"], name=op.f("fk_pieces_maker_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pieces")),
        sa.UniqueConstraint("code", name=op.f("uq_pieces_code")),
        sa.UniqueConstraint("id", "ceiling", "outdoor_only", name=op.f("uq_pieces_id_ceiling_outdoor_only")),
        sa.UniqueConstraint("id", "ceiling", name=op.f("uq_pieces_id_ceiling")),
        sa.UniqueConstraint("id", "stage", name=op.f("uq_pieces_id_stage")),
    )
    with op.batch_alter_table("pieces", schema=None) as batch_op:
        batch_op.create_index("ix_pieces_clay_id", ["clay_id"], unique=False)
        batch_op.create_index("ix_pieces_maker_id_stage", ["maker_id", "stage"], unique=False)
        batch_op.create_index("ix_pieces_stage_since", ["stage", "since"], unique=False)

    op.create_table(
        "requests",
        sa.Column("key", sa.String(length=36), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("doing", sa.String(length=40), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("receipt", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_requests_person_id")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_requests")),
    )
    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_sessions_person_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sessions")),
    )
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sessions_person_id"), ["person_id"], unique=False)

    op.create_table(
        "firings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kiln", sa.String(length=60), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("is_bisque", sa.Boolean(), nullable=False),
        sa.Column("heat", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(length=20), nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("unloaded_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "stage IN ('planned', 'loading', 'firing', 'cooling', 'unloaded')", name=op.f("ck_firings_stage")
        ),
        sa.ForeignKeyConstraint(
            ["kiln", "route"], ["kiln_routes.kiln", "kiln_routes.route"], name=op.f("fk_firings_kiln_route")
        ),
        sa.ForeignKeyConstraint(
            ["route", "is_bisque"], ["routes.name", "routes.is_bisque"], name=op.f("fk_firings_route_is_bisque")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_firings")),
        sa.UniqueConstraint("id", "route", "heat", "is_bisque", name=op.f("uq_firings_id_route_heat_is_bisque")),
    )
    with op.batch_alter_table("firings", schema=None) as batch_op:
        batch_op.create_index("ix_firings_stage", ["stage"], unique=False)

    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("request_key", sa.String(length=36), nullable=False),
        sa.Column("step", sa.String(length=20), nullable=False),
        sa.Column("start", sa.String(length=20), nullable=True),
        sa.Column("to", sa.String(length=20), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=True),
        sa.Column("kiln", sa.String(length=60), nullable=True),
        sa.Column("firing_id", sa.Integer(), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=True),
        sa.Column("accepted", sa.Text(), nullable=True),
        sa.Column("outcome", sa.String(length=20), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_history_by_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_history_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.create_index("ix_history_at", ["at"], unique=False)
        batch_op.create_index("ix_history_piece_id", ["piece_id"], unique=False)

    op.create_table(
        "layers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("piece_ceiling", sa.Integer(), nullable=False),
        sa.Column("piece_outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("glaze_id", sa.Integer(), nullable=False),
        sa.Column("glaze_ceiling", sa.Integer(), nullable=False),
        sa.Column("glaze_outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("zone", sa.String(length=20), nullable=False),
        sa.CheckConstraint("zone IN ('inside', 'lip', 'outside', 'foot')", name=op.f("ck_layers_zone")),
        sa.CheckConstraint("piece_ceiling <= glaze_ceiling", name=op.f("ck_layers_glaze_stands_it")),
        sa.CheckConstraint("piece_outdoor_only OR NOT glaze_outdoor_only", name=op.f("ck_layers_outdoor_glaze_shows")),
        sa.ForeignKeyConstraint(
            ["glaze_id", "glaze_ceiling", "glaze_outdoor_only"],
            ["glazes.id", "glazes.ceiling", "glazes.outdoor_only"],
            name=op.f("fk_layers_glaze_id_glaze_ceiling_glaze_outdoor_only"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["piece_id", "piece_ceiling", "piece_outdoor_only"],
            ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
            name=op.f("fk_layers_piece_id_piece_ceiling_piece_outdoor_only"),
            onupdate="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_layers")),
    )
    with op.batch_alter_table("layers", schema=None) as batch_op:
        batch_op.create_index("ix_layers_glaze_id", ["glaze_id"], unique=False)
        batch_op.create_index("ix_layers_piece_id", ["piece_id"], unique=False)

    op.create_table(
        "prints",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["people.id"], name=op.f("fk_prints_by_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_prints_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_prints")),
    )
    with op.batch_alter_table("prints", schema=None) as batch_op:
        batch_op.create_index("ix_prints_piece_id", ["piece_id"], unique=False)

    op.create_table(
        "questions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("findings", sa.Text(), nullable=False),
        sa.Column("asked_by", sa.Integer(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("answered_by", sa.Integer(), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("allows", sa.Boolean(), nullable=True),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("pinned_clay", sa.Integer(), nullable=True),
        sa.Column("pinned_glaze", sa.Integer(), nullable=True),
        sa.CheckConstraint("(answered_at IS NULL) = (allows IS NULL)", name=op.f("ck_questions_answered_whole")),
        sa.ForeignKeyConstraint(["answered_by"], ["people.id"], name=op.f("fk_questions_answered_by")),
        sa.ForeignKeyConstraint(["asked_by"], ["people.id"], name=op.f("fk_questions_asked_by")),
        sa.ForeignKeyConstraint(["pinned_clay"], ["clays.id"], name=op.f("fk_questions_pinned_clay")),
        sa.ForeignKeyConstraint(["pinned_glaze"], ["glazes.id"], name=op.f("fk_questions_pinned_glaze")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_questions_piece_id")),
        sa.ForeignKeyConstraint(["route"], ["routes.name"], name=op.f("fk_questions_route")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_questions")),
    )
    with op.batch_alter_table("questions", schema=None) as batch_op:
        batch_op.create_index("ix_questions_answered_at", ["answered_at"], unique=False)
        batch_op.create_index("ix_questions_piece_id", ["piece_id"], unique=False)

    op.create_table(
        "waiting",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("stage", sa.String(length=20), server_default="queued", nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("outdoor_only", sa.Boolean(), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("heat", sa.Integer(), nullable=False),
        sa.Column("takes_outdoor", sa.Boolean(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("accepted", sa.Text(), nullable=False),
        sa.CheckConstraint("stage = 'queued'", name=op.f("ck_waiting_is_queued")),
        sa.CheckConstraint("heat <= ceiling", name=op.f("ck_waiting_stands_the_heat")),
        sa.CheckConstraint("takes_outdoor OR NOT outdoor_only", name=op.f("ck_waiting_outdoor_only_in_raku")),
        sa.ForeignKeyConstraint(
            ["piece_id", "ceiling", "outdoor_only"],
            ["pieces.id", "pieces.ceiling", "pieces.outdoor_only"],
            name=op.f("fk_waiting_piece_id_ceiling_outdoor_only"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["piece_id", "stage"], ["pieces.id", "pieces.stage"], name=op.f("fk_waiting_piece_id_stage")
        ),
        sa.ForeignKeyConstraint(
            ["route", "heat", "takes_outdoor"],
            ["routes.name", "routes.heat", "routes.takes_outdoor"],
            name=op.f("fk_waiting_route_heat_takes_outdoor"),
            onupdate="CASCADE",
        ),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_waiting")),
        sa.UniqueConstraint("piece_id", "route", name=op.f("uq_waiting_piece_id_route")),
    )
    with op.batch_alter_table("waiting", schema=None) as batch_op:
        batch_op.create_index("ix_waiting_route_since", ["route", "since"], unique=False)

    op.create_table(
        "loaded",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=False),
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("route", sa.String(length=40), nullable=False),
        sa.Column("heat", sa.Integer(), nullable=False),
        sa.Column("is_bisque", sa.Boolean(), nullable=False),
        sa.Column("queue_route", sa.String(length=40), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "(is_bisque AND queue_route IS NULL)"
            " OR (NOT is_bisque AND queue_route IS NOT NULL AND queue_route = route)",
            name=op.f("ck_loaded_from_its_own_queue"),
        ),
        sa.CheckConstraint("heat <= ceiling", name=op.f("ck_loaded_stands_the_heat")),
        sa.ForeignKeyConstraint(
            ["firing_id", "route", "heat", "is_bisque"],
            ["firings.id", "firings.route", "firings.heat", "firings.is_bisque"],
            name=op.f("fk_loaded_firing_id_route_heat_is_bisque"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["piece_id", "ceiling"],
            ["pieces.id", "pieces.ceiling"],
            name=op.f("fk_loaded_piece_id_ceiling"),
            onupdate="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["piece_id", "queue_route"],
            ["waiting.piece_id", "waiting.route"],
            name=op.f("fk_loaded_piece_id_queue_route"),
        ),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_loaded")),
    )
    with op.batch_alter_table("loaded", schema=None) as batch_op:
        batch_op.create_index("ix_loaded_firing_id", ["firing_id"], unique=False)

    op.create_table(
        "results",
        sa.Column("firing_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.String(length=20), nullable=False),
        sa.CheckConstraint(
            "outcome IN ('good', 'crawled', 'crazed', 'pinholed', 'ran', 'stuck',"
            " 'cracked', 'broke', 'underfired', 'overfired')",
            name=op.f("ck_results_outcome"),
        ),
        sa.ForeignKeyConstraint(["firing_id"], ["firings.id"], name=op.f("fk_results_firing_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["pieces.id"], name=op.f("fk_results_piece_id")),
        sa.PrimaryKeyConstraint("firing_id", "piece_id", name=op.f("pk_results")),
    )
    with op.batch_alter_table("results", schema=None) as batch_op:
        batch_op.create_index("ix_results_piece_id", ["piece_id"], unique=False)


def downgrade() -> None:
    """Go one step back."""
    with op.batch_alter_table("results", schema=None) as batch_op:
        batch_op.drop_index("ix_results_piece_id")

    op.drop_table("results")
    with op.batch_alter_table("loaded", schema=None) as batch_op:
        batch_op.drop_index("ix_loaded_firing_id")

    op.drop_table("loaded")
    with op.batch_alter_table("waiting", schema=None) as batch_op:
        batch_op.drop_index("ix_waiting_route_since")

    op.drop_table("waiting")
    with op.batch_alter_table("questions", schema=None) as batch_op:
        batch_op.drop_index("ix_questions_piece_id")
        batch_op.drop_index("ix_questions_answered_at")

    op.drop_table("questions")
    with op.batch_alter_table("prints", schema=None) as batch_op:
        batch_op.drop_index("ix_prints_piece_id")

    op.drop_table("prints")
    with op.batch_alter_table("layers", schema=None) as batch_op:
        batch_op.drop_index("ix_layers_piece_id")
        batch_op.drop_index("ix_layers_glaze_id")

    op.drop_table("layers")
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.drop_index("ix_history_piece_id")
        batch_op.drop_index("ix_history_at")

    op.drop_table("history")
    with op.batch_alter_table("firings", schema=None) as batch_op:
        batch_op.drop_index("ix_firings_stage")

    op.drop_table("firings")
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sessions_person_id"))

    op.drop_table("sessions")
    op.drop_table("requests")
    with op.batch_alter_table("pieces", schema=None) as batch_op:
        batch_op.drop_index("ix_pieces_stage_since")
        batch_op.drop_index("ix_pieces_maker_id_stage")
        batch_op.drop_index("ix_pieces_clay_id")

    op.drop_table("pieces")
    op.drop_table("kiln_routes")
    with op.batch_alter_table("sign_ins", schema=None) as batch_op:
        batch_op.drop_index("ix_sign_ins_email_at")
        batch_op.drop_index("ix_sign_ins_address_at")

    op.drop_table("sign_ins")
    op.drop_table("routes")
    op.drop_table("people")
    op.drop_table("kilns")
    op.drop_table("house")
    op.drop_table("glazes")
    op.drop_table("clays")
