"""What a department has of its practicals over the years: results as they were kept, lists, years, pools.

Nothing here is analysed while somebody waits for a list: lists read what was kept. A result is kept after the
transaction that made it due, by whoever looks at the class next.
"""
