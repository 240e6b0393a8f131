"""What the pages of launches, days and tides show: rows and tides laid out for the pictures and their tables."""
