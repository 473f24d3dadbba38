"""The outdoor kiln: sessions, rounds, bins, cooling, fuel, what broke."""
