"""What leaves the tool as a file, and what is read back in: tables, workbook, documents, cards, reports.

What goes out is text, bytes or a PDF made of results and readings that are handed in; words are said through
a function, as in the figures. Nothing here loads a row or knows a page. `cells` guards every text that a
spreadsheet could take for a formula.
"""
