"""What an owner is written: facts of the plan in, a letter's words out. Pure: no rows, no clock, no address book."""
