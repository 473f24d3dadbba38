"""An invented studio, small and complete, that tests start from."""

STUDIO = """\
# The Marrow Lane teaching studio, invented.
[studio]
name = "Marrow Lane"
timezone = "Europe/Lisbon"
address = "https://kilns.example.edu"

[practice]
large_porcelain_mm = 150
food_absorption_pct = 3.0

[[clay]]
name = "Heron White"
kind = "stoneware"
cone_low = "5"
cone_high = "6"
absorption_pct = 1.8
shrinkage_pct = 12

[[clay]]
name = "Whoever knows"
kind = "unknown"

[[clay]]
name = "Weighed Buff"
kind = "stoneware"
cone_low = "5"
cone_high = "6"

[[clay.weighing]]
dry_g = 100.00
saturated_g = 102.00
suspended_g = 60.00
cone = "6"

[[glaze]]
name = "Fog Harbour"
family = "mid-range"
cone_low = "5"
cone_high = "6"
food = "tested"
traits = ["runny"]
goes_on = [
    "dip",  # key = "value" here is a comment
    "pour",
]
bucket = "shelf 2"

[[glaze.test]]
laboratory = "Bench nine"
tested_on = 2026-03-01
method = "acetic acid, 24 h"
metal = "Pb"
unit = "mg/L"
results = [0.1, 0.12, 0.1, 0.1, 0.11, 0.1]
kind = "cup or mug"
depth_mm = 85
capacity_ml = 320
clay = "Heron White"
route = "mid-range"

[[glaze.test]]
laboratory = "Bench nine"
tested_on = 2026-03-01
metal = "Cd"
unit = "mg/L"
results = ["<0.01", "<0.01", 0.02, "<0.01", "<0.01", "<0.01"]
kind = "cup or mug"
capacity_ml = 320

[[glaze]]
name = "Copper Wink"
family = "outdoor"
cone_low = "06"
cone_high = "06"
food = "decorative"
metals = ["Cu"]

[[route]]
name = "bisque"
title = "Bisque"
kind = "bisque"
cone = "06"

[[route]]
name = "mid-range"
title = "Mid-range"
kind = "shelf"
cone = "6"

[[route]]
name = "raku"
title = "Outdoor, raku"
kind = "raku"
cone = "06"

[[kiln]]
name = "Old Bess"
routes = ["bisque", "mid-range"]

[[kiln]]
name = "Yard drum"
routes = ["raku"]
outdoor = true
place = "north yard"
"""
