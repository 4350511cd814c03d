"""What comes into the records from a file: practicals with their history, and others' tables of past runs.

Files are read in `app.exports`; here they are checked as what a bench sends is, and stored as a whole or not
at all. Nobody gets an account by it.
"""
