"""A firing's life: schedule, curve, cones, witness cones, cost."""
