"""How everything looks: colours, sizes, spaces and faces, declared once for pages, figures and PDFs.

`tokens` declares them, `stylesheet` writes them as custom properties for the pages, `faces` names the font
files and `subsets` makes those files. Imports nothing of the program but where its files lie.
"""
