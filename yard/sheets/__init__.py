"""Sheets: CSV and XLSX in and out, headings matched to columns, and cells read as a yard types them.

Pure: no Django, no database, no clock. `read_file` turns bytes into lines of text, `headings` matches their headings to
the columns of `lists`, `reading` turns lines into values or faults, `writing` turns values into a file again.
"""
