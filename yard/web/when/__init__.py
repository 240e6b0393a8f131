"""When could it be done? Asked on the telephone, answered at once, and held for the caller."""
