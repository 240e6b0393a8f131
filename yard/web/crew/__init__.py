"""People: the crew list, one person's page, and who is free."""
