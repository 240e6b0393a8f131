"""What the pages of lists say: the file, the columns, what a sheet would change and what it changed."""
