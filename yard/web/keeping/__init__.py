"""Pages on which owners, moorings, their tackle and shares in boats are kept, merged and sold."""
