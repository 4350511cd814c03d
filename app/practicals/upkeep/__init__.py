"""What is done to an installation's records as a whole: backups by command and going back to one, what a
department's rule says of how long its practicals are kept, and what else is past its time.
"""
