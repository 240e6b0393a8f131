"""Help inside the tool: topics for planner, crew and office, and which pages each is for."""
