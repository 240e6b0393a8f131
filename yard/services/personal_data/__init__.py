"""What is kept of an owner, taken out for her, and erased while the yard's own history stays whole."""
