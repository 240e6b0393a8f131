"""Sheets: CSV and XLSX in and out, headings matched to columns, and cells read as a yard types them.

Pure: no Django, no database, no clock. `read_file` turns bytes into lines of text, `headings` matches their headings to
the columns of `lists`, `reading` turns lines into values or faults, `writing` turns values into a file again.

Headings and the words of cells are the file's own: English both ways, whatever language the yard speaks, so that what
went out comes in anywhere. What is said about them (faults, remedies, what to write) is said by `yard.speech`, and what
is to be typed is a gap of the sentence.
"""
