"""Planning at the desk: the practical's own numbers, the kit, a line for every bench.

Forms are read field by field, with one sentence for what cannot be used, and nothing typed is lost. What a
plan will give is predicted in `app.analysis.plan`.
"""
