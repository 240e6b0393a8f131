"""An owner's own page: what it shows and what is answered there."""
