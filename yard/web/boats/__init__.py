"""One boat as her page shows her: dates and verdict, jobs and waits, water, facts, where things are."""
