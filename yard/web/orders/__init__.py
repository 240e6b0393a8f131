"""How orders and packages are shown and asked for."""
