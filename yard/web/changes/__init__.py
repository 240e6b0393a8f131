"""What the pages show on which facts are added and changed."""
