"""Calendars on the site: answering whoever fetches one, and the page on which addresses are made."""
