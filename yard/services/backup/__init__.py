"""The whole yard in one file, as open JSON with its schema and its photographs, and back into an empty database."""
