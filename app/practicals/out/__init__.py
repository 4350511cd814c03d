"""What leaves the records, for those who may have it: whole practicals, read in short transactions.

Tables, workbooks and documents are made of them in `app.exports`.
"""
