"""The ways in: typed lines, guided entry at the car, and sheets."""
