"""What falls due by interval: rigs, tackle, the yard's own gear."""
