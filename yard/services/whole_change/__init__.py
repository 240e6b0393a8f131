"""Many rows changed as one: two boats or owners found to be the same, a boat sold; and the way back as a whole.

`relations` says what becomes of every row that names a boat or an owner, `merge` and `sale` do it, `ledger` writes
each row down as it was and as it was left, and `take_back` puts all of them back while none was changed since.
"""
