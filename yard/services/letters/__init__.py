"""Letters to owners: what is new for whom, the words, the reading, the release and the sending."""
