"""What leaves the desk: bench cards, run table and workbook, other falls.

Views alone: cards and tables are made in `app.exports`. Nothing here changes a practical.
"""
