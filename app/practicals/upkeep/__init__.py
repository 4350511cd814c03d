"""What is done to an installation's records as a whole: going back to a backup, what a department's rule says
of how long its practicals are kept, and what else is past its time.
"""
