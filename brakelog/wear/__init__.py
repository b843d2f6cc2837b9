"""How a part wears: its life from fitting to removal, its rate, and the distance that is left."""
